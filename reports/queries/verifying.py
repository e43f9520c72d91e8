"""What anybody may know of a sheet that lies before them: whether it was issued, and whether it still holds."""

import hmac
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils.formats import date_format

from fleet.mesh.codes import CodeError, read_sheet_number, sheet_number
from reports.models import Sheet, SheetKind, Signature
from sites.models import Firm

SHOWN_DIGITS = 16
MOST_OCTETS = 20 * 1024 * 1024
NO_SUCH = "No sheet with this number and digest was issued here."
NO_SUCH_FILE = "This file is not one that was issued here, or it was changed since."
KEPT_UP = (SheetKind.HANDOVER, SheetKind.RECOVERY)
"""The kinds that the round compares with the book; of no other can it be said that it holds."""
NO_DIGEST = "0" * SHOWN_DIGITS


class Standing(StrEnum):
    """Whether a sheet still holds.

    RECORD: it tells of one day or stretch of days, and is never compared with the book. NOT_KEPT_UP: it was compared
    once and is no more, so that nobody can say whether it holds.
    """

    IN_FORCE = "in force"
    STALE = "out of date"
    REPLACED = "replaced"
    RECORD = "issued"
    NOT_KEPT_UP = "no longer kept up"


@dataclass(frozen=True, slots=True)
class Verified:
    """One sheet that was issued. Days are those of the place that it is about; nothing else of that place is told.

    since: the day it went out of date, or was replaced, `by` that number.
    """

    number: str
    revision: int
    issued_on: date
    standing: Standing
    signed: bool
    signed_on: date | None = None
    since: date | None = None
    by: str | None = None

    @property
    def may_be_used(self) -> bool:
        """As far as the book can say, and of a record as one of its day."""
        return self.standing in (Standing.IN_FORCE, Standing.RECORD)


def verified(number: str, digest: str) -> Verified | None:
    """The sheet with this number whose first sixteen digits of the digest are these; None for whatever else.

    One statement, and a comparison in constant time, whether there is such a number or not.
    """
    sheet = _sheets().filter(number=_plain_number(number)).first()
    right = sheet.digest[:SHOWN_DIGITS].upper() if sheet else NO_DIGEST
    fits = hmac.compare_digest(right.encode(), _plain_digest(digest).encode())
    return told(sheet) if sheet and fits else None


def verified_file(sha256: str) -> Verified | None:
    """The sheet whose archived file has this SHA-256 in lower-case hex, or None."""
    sheet = _sheets().filter(sha256=sha256).first()
    return told(sheet) if sheet else None


def told(sheet: Sheet) -> Verified:
    """What may be known of a sheet that was issued."""
    zone = ZoneInfo(zone_of(sheet))
    newer = getattr(sheet, "replaced_by", None)
    signature = Signature.objects.filter(sheet=sheet).order_by("-signed_at").first()
    standing, since = Standing.IN_FORCE, None
    if newer:
        standing, since = Standing.REPLACED, newer.issued_at
    elif sheet.kind not in KEPT_UP:
        standing = Standing.RECORD
    elif sheet.is_erased:
        standing = Standing.NOT_KEPT_UP
    elif sheet.stale_since:
        standing, since = Standing.STALE, sheet.stale_since
    return Verified(
        number=sheet.number,
        revision=sheet.revision,
        issued_on=sheet.issued_at.astimezone(zone).date(),
        standing=standing,
        signed=signature is not None,
        signed_on=signature.signed_at.astimezone(zone).date() if signature else None,
        since=since.astimezone(zone).date() if since else None,
        by=newer.number if newer else None,
    )


def said(found: Verified) -> str:
    """Whether the sheet was issued, when, and whether it still holds, in one line."""
    told = f"Sheet {found.number}, revision {found.revision}, was issued on {_day(found.issued_on)}"
    if found.standing is Standing.REPLACED:
        return f"{told}, and replaced by {found.by} on {_day(found.since)}. Do not work from it."
    if found.standing is Standing.STALE:
        return f"{told}, and has been out of date since {_day(found.since)}. Ask for a new one."
    if found.standing is Standing.RECORD:
        return f"{told}; it shows that day and is not compared with the book."
    if found.standing is Standing.NOT_KEPT_UP:
        return f"{told}, and is no longer kept up: what it shows is not compared any more."
    return f"{told} and is in force."


def _day(day: date | None) -> str:
    return date_format(day, "j F Y")


def _sheets() -> QuerySet[Sheet]:
    return Sheet.objects.select_related("replaced_by", "site__client", "client")


def zone_of(sheet: Sheet) -> str:
    """On whose clock a sheet's times are told: the home's, or the firm's where it is about no home."""
    if sheet.site:
        return sheet.site.time_zone
    firm = Firm.objects.first()
    return firm.time_zone if firm else "UTC"


def _plain_number(text: str) -> str:
    """The number in its one form; what cannot be one finds nothing."""
    try:
        return sheet_number(*read_sheet_number(text))
    except CodeError:
        return ""


def _plain_digest(text: str) -> str:
    """The digits without what people put between them; never as long as they like."""
    return "".join(letter for letter in text[:60].upper() if letter.isalnum() and letter.isascii())
