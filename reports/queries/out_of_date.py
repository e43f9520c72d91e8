"""Which sheets of the book are out of date, what changed, and how far the making of new ones is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from fleet.planning.pace import Pace, pace
from reports.models import ON_A_WALL, Remaking, Sheet, SheetToMake
from reports.queries.section_names import section_name


def out_of_date() -> QuerySet[Sheet]:
    """Newest sheets that show a fact which is no longer so, the longest out of date first."""
    stale = Sheet.objects.filter(replaced_by=None, stale_since__isnull=False)
    return _with_places(stale.filter(_of_nobody_erased())).order_by("stale_since", "site__code", "pk")


def not_compared() -> QuerySet[Sheet]:
    """Newest sheets whose facts could not be compared at the last round."""
    return _with_places(Sheet.objects.filter(replaced_by=None).exclude(check_error="")).order_by(
        "site__code", "pk"
    )


def to_be_hung() -> QuerySet[Sheet]:
    """Sheets in force that took another's place, while nobody noted that they hang at the home.

    Each has `old_since`: since when what hangs there is no longer in force. The longest first.
    """
    new = Sheet.objects.filter(replaced_by=None, replaces__isnull=False, hung_at=None, kind__in=ON_A_WALL)
    new = new.filter(_of_nobody_erased()).annotate(old_since=Subquery(_since_old()))
    return _with_places(new).select_related("replaces").order_by("old_since", "site__code", "pk")


def homes_with_old_sheets() -> int:
    """How many homes have a wall with a sheet that was replaced."""
    return to_be_hung().order_by().values("site").distinct().count()


def _since_old() -> QuerySet:
    """When the first revision after the one on the wall was issued: the last noted to hang, or else the first."""
    same = Sheet.objects.filter(kind=OuterRef("kind"), about=OuterRef("about")).order_by("-revision")
    hung = same.filter(hung_at__isnull=False).values("revision")[:1]
    later = Sheet.objects.filter(kind=OuterRef("kind"), about=OuterRef("about"))
    later = later.alias(on_the_wall=Coalesce(Subquery(hung), 1)).filter(revision__gt=F("on_the_wall"))
    return later.order_by("revision").values("issued_at")[:1]


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
