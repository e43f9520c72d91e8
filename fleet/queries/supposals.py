"""Answers to what was supposed, as a page or the terminal shows them."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from fleet.models import Round, RoundState, Supposal, SupposedChange
from fleet.planning.estimating import cost
from fleet.planning.money import smallest_unit
from fleet.planning.pace import Pace, pace
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import Supposition, from_data
from sites.models import Firm


@dataclass(frozen=True, slots=True)
class Sums:
    """Money: what joining devices by hand is expected to cost a year, both sides, and what the added spares cost.

    None: cannot be said, as no firm is entered, or a price was not.
    """

    currency: str
    before: Decimal | None
    after: Decimal | None
    price: Decimal | None

    @property
    def saved(self) -> Decimal | None:
        """Joining saved a year; below 0 where it costs more."""
        return None if self.before is None or self.after is None else self.before - self.after


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer with its sums; is_old: the book was judged since, so it may say something else by now."""

    row: Supposal
    change: Supposition
    tally: Tally
    sums: Sums
    homes: int
    is_old: bool
    pace: Pace


def answers() -> list[tuple[Supposal, bool]]:
    """All that are kept, newest first, and whether each is old. Two statements."""
    judged_at = last_judged_at()
    return [(row, _is_old(row, judged_at)) for row in Supposal.objects.defer("errors")]


def answer_of(row: Supposal, now: datetime) -> Answer:
    """Three statements."""
    change, tally = from_data(row.asked), Tally(**row.tally)
    return Answer(
        row=row,
        change=change,
        tally=tally,
        sums=sums_of(change, tally),
        homes=changes_of(row).order_by().values("mesh__site").distinct().count(),
        is_old=_is_old(row, last_judged_at()),
        pace=pace(row.done, row.total, row.asked_at, row.finished_at or now),
    )


def changes_of(row: Supposal) -> QuerySet[SupposedChange]:
    """The meshes that would be in another state, the worst outcome first."""
    return row.changes.select_related("mesh__site__client").order_by(
        "rank", "-mesh__safety_relevant", "mesh__code"
    )


def sums_of(change: Supposition, tally: Tally) -> Sums:
    """At the firm's hourly rate. One statement."""
    firm = Firm.objects.first()
    if firm is None:
        return Sums("", None, None, None)
    unit = smallest_unit(firm.currency)
    before, after = (
        cost(minutes, firm.hourly_rate, unit) for minutes in (tally.joining_before, tally.joining_after)
    )
    return Sums(firm.currency, before, after, change.price)


def last_judged_at() -> datetime | None:
    """As of when the last round that ended judged. One statement."""
    ended = Round.objects.exclude(state=RoundState.RUNNING)
    return ended.order_by("-started_at").values_list("started_at", flat=True).first()


def _is_old(row: Supposal, judged_at: datetime | None) -> bool:
    return judged_at is not None and judged_at > row.asked_at
