"""Links that hand one sheet to somebody without an account: made, opened, ended.

A link's token is 256 random bits, shown once and stored as a digest only. In a link it stands after the "#", which no
browser sends to a server or to another site: it is in no log and in no Referer (RFC 9110, section 10.1.3).
"""

import secrets
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F, QuerySet
from django.urls import reverse

from fleet.models import JournalEntry
from fleet.verbs import journal
from fleet.verbs.push_tokens import digest_of
from reports.facts.names import fault_of_name
from reports.models import Sheet, SheetLink

USUAL_DAYS, MOST_DAYS = 14, 90
TIMES_KEPT = 20
TOKEN_LETTERS = 43


class LinkError(Exception):
    """No link was made; the sentence says why and what would be right."""


class UnknownLink(Exception):
    """No link has this token."""


class LinkOver(Exception):
    """The link was good once; `link` is its row."""

    def __init__(self, link: SheetLink) -> None:
        super().__init__("This link is over.")
        self.link = link


@transaction.atomic
def make(
    sheet: Sheet, for_whom: str, days: int, may_sign: bool, by: str, now: datetime
) -> tuple[SheetLink, str]:
    """A new link to this sheet and its token, which is given back once. Raises LinkError."""
    for_whom = for_whom.strip()
    if fault := fault_of_name(for_whom):
        raise LinkError(f"for whom: {fault}.")
    if not 1 <= days <= MOST_DAYS:
        raise LinkError(f"days: {days}; right is 1 to {MOST_DAYS}.")
    if is_erased(sheet):
        raise LinkError(f"sheet: {sheet.number} is of a client who was erased; it is handed to nobody.")
    newer = Sheet.objects.filter(replaces=sheet).first() if may_sign else None
    if newer:
        raise LinkError(
            f"may sign: {sheet.number} was replaced by {newer.number}; make the link to that one, "
            "or a link for reading only."
        )
    token = secrets.token_urlsafe(32)
    row = SheetLink.objects.create(
        sheet=sheet,
        digest=digest_of(token),
        for_whom=for_whom,
        may_sign=may_sign,
        made_at=now,
        made_by=by[:120],
        expires_at=now + timedelta(days=days),
    )
    _record(row, by, "link to sheet made", now, days=days, may_sign=may_sign)
    return row, token


def address_of(token: str, book: str) -> str:
    """The whole link. book: the address of the book, such as https://book.example."""
    return f"{book.rstrip('/')}{reverse('hand')}#{token}"


def book_address(fallback: str) -> str:
    """Where people find the book, or the address that somebody has just used."""
    return settings.BOOK_ADDRESS or fallback


@transaction.atomic
def revoke(link: SheetLink, by: str, now: datetime) -> None:
    """End a link at once; a second call changes nothing."""
    if SheetLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=now, revoked_by=by[:120]):
        _record(link, by, "link to sheet ended", now)


def open_link(token: str, now: datetime, counted: bool = True) -> SheetLink:
    """The living link with this token, the opening noted unless it is not to be counted.

    Raises UnknownLink, or LinkOver for one that has expired, was ended, or leads to an erased client's sheet.
    """
    links = SheetLink.objects.select_related("sheet__site__client", "sheet__client", "sheet__mesh")
    link = links.filter(digest=digest_of(token.strip()[: 2 * TOKEN_LETTERS])).first()
    if link is None:
        raise UnknownLink("No link has this token.")
    if is_over(link, now):
        _record(link, link.for_whom, "link to sheet refused", now)
        raise LinkOver(link)
    if counted:
        _note_opening(link, now)
    return link


@transaction.atomic
def note_use(link: SheetLink, what: str, now: datetime) -> None:
    """Put the first time that something was taken through this link into the journal, such as "sheet taken by link".

    Whoever takes it without having opened the page has opened the link by that.
    """
    held = SheetLink.objects.select_for_update().get(pk=link.pk)
    if not held.opens:
        _note_opening(link, now)
    if not _lines_of(link).filter(what=what).exists():
        _record(link, link.for_whom, what, now)


def _lines_of(link: SheetLink) -> QuerySet[JournalEntry]:
    subject = link.sheet.site.code if link.sheet.site else ""
    lines = JournalEntry.objects.filter(subject=subject, at__gte=link.made_at)
    return lines.filter(details__link=_mark(link), details__number=link.sheet.number)


def is_over(link: SheetLink, now: datetime) -> bool:
    """True where it opens nothing any more."""
    return link.revoked_at is not None or now >= link.expires_at or is_erased(link.sheet)


def is_erased(sheet: Sheet) -> bool:
    """True of a sheet whose client was erased."""
    return sheet.is_erased


@transaction.atomic
def _note_opening(link: SheetLink, now: datetime) -> None:
    held = SheetLink.objects.select_for_update().get(pk=link.pk)
    held.opens = F("opens") + 1
    held.opened = [*held.opened, now.isoformat(timespec="seconds")][-TIMES_KEPT:]
    held.save(update_fields=["opens", "opened"])
    _record(link, link.for_whom, "link to sheet opened", now)


def _mark(link: SheetLink) -> str:
    return str(link.uid)[:8]


def _record(link: SheetLink, who: str, what: str, now: datetime, **details: object) -> None:
    sheet = link.sheet
    subject = sheet.site.code if sheet.site else ""
    journal.record(
        who,
        what,
        subject,
        now,
        number=sheet.number,
        link=_mark(link),
        for_whom=link.for_whom,
        **details,
    )
