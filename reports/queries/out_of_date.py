"""Which sheets of the book are out of date, what changed, and how far the making of new ones is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, F, Q, QuerySet

from fleet.planning.pace import Pace, pace
from reports.models import Remaking, Sheet, SheetToMake
from reports.queries.section_names import section_name

NEW_DAYS = 14


def out_of_date() -> QuerySet[Sheet]:
    """Newest sheets that show a fact which is no longer so, the longest out of date first."""
    stale = Sheet.objects.filter(replaced_by=None, stale_since__isnull=False)
    return _with_places(stale.filter(_of_nobody_erased())).order_by("stale_since", "site__code", "pk")


def not_compared() -> QuerySet[Sheet]:
    """Newest sheets whose facts could not be compared at the last round."""
    return _with_places(Sheet.objects.filter(replaced_by=None).exclude(check_error="")).order_by(
        "site__code", "pk"
    )


def made_anew(now: datetime) -> QuerySet[Sheet]:
    """Sheets in force that took another's place in the last days: the old one may still hang at the home."""
    since = now - timedelta(days=NEW_DAYS)
    new = Sheet.objects.filter(replaced_by=None, replaces__isnull=False, issued_at__gte=since)
    return _with_places(new).select_related("replaces").order_by("-issued_at", "-pk")


def _of_nobody_erased() -> Q:
    return Q(site__client__erased_at=None)


def _with_places(sheets: QuerySet[Sheet]) -> QuerySet[Sheet]:
    return sheets.select_related("site__client", "client", "mesh")


def what_changed(sheet: Sheet) -> str:
    """The sections that changed, in words and in the order of the sheet."""
    names = list(dict.fromkeys(section_name(name) for name in sheet.changed))
    if not names:
        return "not known: the sheet was issued before its sections were noted"
    return ", ".join(names)


@dataclass(frozen=True, slots=True)
class Making:
    """How far a making of sheets is."""

    done: int
    made: int
    errors: tuple[SheetToMake, ...]
    pace: Pace


def making(remaking: Remaking, now: datetime) -> Making:
    """Two statements."""
    counts = remaking.sheets.aggregate(
        done=Count("pk", filter=Q(done_at__isnull=False)), made=Count("pk", filter=Q(made__isnull=False))
    )
    errors = remaking.sheets.exclude(error="").select_related("sheet__site", "sheet__mesh")
    at = remaking.finished_at or now
    return Making(
        done=counts["done"],
        made=counts["made"],
        errors=tuple(errors[:200]),
        pace=pace(counts["done"], remaking.total, remaking.started_at, at),
    )


def at_work() -> QuerySet[Remaking]:
    """The makings that are not over, oldest first."""
    return Remaking.objects.filter(finished_at=None).order_by("pk")


def newest_makings() -> Iterable[Remaking]:
    """The last ones that are over."""
    return Remaking.objects.filter(finished_at__isnull=False).order_by(F("finished_at").desc())[:10]
