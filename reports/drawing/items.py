"""Things of the house as both sheets name them."""

from reports.drawing import words
from reports.drawing.language import _, isolated, later
from reports.drawing.looks import Kit
from reports.drawing.saying import said
from reports.drawing.tables import Cell
from reports.facts.head import Contact, Firm
from reports.facts.safety import SafetyItem

ROLES = {
    "client": later("client"),
    "deputy": later("deputy of the client"),
    "technician": later("technician"),
    "witness": later("witness"),
}
"""As what somebody signs."""


def firm_name(firm: Firm) -> str:
    """The firm as it calls itself, or that nobody has entered it."""
    return firm.name or _("Firm not entered")


def signed_as(code: str) -> str:
    """As what somebody signed; of a signature older than the codes, what was written then."""
    return _(ROLES[code]) if code in ROLES else code


def named_item(item: SafetyItem, kit: Kit) -> Cell:
    """Lock: Front door, Hall"""
    kind = _("{kind}:").format(kind=words.sentence(said(item.kind)))
    where = words.commas([item.name, item.room] if item.room else [item.name])
    return ((kind, kit.body.strong()), (f" {isolated(where)}", kit.body))


def as_what(contact: Contact) -> str:
    """client, evenings"""
    return words.commas([said(part) for part in (contact.role, contact.note) if part])
