"""Things of the house as both sheets name them."""

from reports.drawing import words
from reports.drawing.language import _, isolated
from reports.drawing.looks import Kit
from reports.drawing.saying import said
from reports.drawing.tables import Cell
from reports.facts.head import Contact
from reports.facts.safety import SafetyItem


def named_item(item: SafetyItem, kit: Kit) -> Cell:
    """Lock: Front door, Hall"""
    kind = _("{kind}:").format(kind=words.sentence(said(item.kind)))
    where = words.commas([item.name, item.room] if item.room else [item.name])
    return ((kind, kit.body.strong()), (f" {isolated(where)}", kit.body))


def as_what(contact: Contact) -> str:
    """client, evenings"""
    return words.commas([said(part) for part in (contact.role, contact.note) if part])
