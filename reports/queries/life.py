"""What became of a home's sheets after they were issued: signatures, links, mails."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from reports.models import Sheet, SheetLink, SheetMail, Signature


@dataclass(frozen=True, slots=True)
class Signed:
    """Signatures under one sheet; `earlier` are those under revisions before it, which do not count for it."""

    valid: tuple[Signature, ...] = ()
    earlier: tuple[Signature, ...] = ()


UNSIGNED = Signed()


def signed(sheets: Iterable[Sheet]) -> dict[int, Signed]:
    """Signatures by the sheet's key, those of earlier revisions beside them. One statement."""
    sheets = list(sheets)
    about = {sheet.about for sheet in sheets}
    rows = Signature.objects.filter(sheet__about__in=about).select_related("sheet", "account", "link")
    found: dict[tuple[str, str], list[Signature]] = {}
    for row in rows.order_by("signed_at", "pk"):
        found.setdefault((row.sheet.kind, row.sheet.about), []).append(row)
    return {sheet.pk: _of(sheet, found.get((sheet.kind, sheet.about), [])) for sheet in sheets}


def _of(sheet: Sheet, rows: list[Signature]) -> Signed:
    """A signature counts where it is bound to the very digests of this revision."""
    mine = tuple(
        row
        for row in rows
        if row.sheet_id == sheet.pk and row.sheet_digest == sheet.digest and row.sheet_sha256 == sheet.sha256
    )
    earlier = tuple(row for row in rows if row.sheet.revision < sheet.revision)
    return Signed(mine, () if mine else earlier)


def links_of(sheets: QuerySet[Sheet]) -> QuerySet[SheetLink]:
    """The links to these sheets, newest first."""
    return SheetLink.objects.filter(sheet__in=sheets).select_related("sheet__site__client", "sheet__client")


def mails_of(sheets: QuerySet[Sheet]) -> QuerySet[SheetMail]:
    """The mails with these sheets, newest first."""
    return SheetMail.objects.filter(sheet__in=sheets).select_related("sheet")
