"""What bringing a mesh back takes, and joining all of it anew, in minutes and in the firm's money (trade rule C7)."""

from dataclasses import dataclass, field
from decimal import Decimal

from fleet.planning.compatibility import PairRecord
from fleet.planning.drilling.minutes import Recorded
from fleet.planning.estimating import NO_MINUTES, ThreePoints, Weighing, cost, rejoin_minutes, weigh
from fleet.planning.money import smallest_unit
from fleet.planning.readiness import Readiness
from fleet.queries.facts import class_counts
from fleet.queries.readiness import Judged
from fleet.queries.spares import SpareShelf
from sites.models import Firm

# A day at the wheel: further than that a radio is sent, at no hour of the firm's. Common practice, no source.
LONGEST_DRIVE_MINUTES = 10 * 60


@dataclass(frozen=True, slots=True)
class Sums:
    """One way of doing it: minutes and money, each low, likely and high. No money where no firm is entered."""

    minutes: ThreePoints
    low: Decimal | None
    likely: Decimal | None
    high: Decimal | None


@dataclass(frozen=True, slots=True)
class Costs:
    """Both ways, the way to the home included. restore is None without a spare, rejoin without a device.

    record: how often the pair of builds was tried; weighing is None where either way is not known. sent_minutes:
    how far the spare is where nobody would drive that; the sums are then those of the work at the home alone.
    recorded: which parts of the work were taken from the firm's own drills.
    """

    currency: str
    restore: Sums | None
    rejoin: Sums | None
    record: PairRecord
    weighing: Weighing | None
    sent_minutes: float | None = None
    recorded: Recorded = field(default_factory=Recorded)


def costs_of(case: Judged, readiness: Readiness, shelf: SpareShelf) -> Costs:
    """With the spare that readiness takes, at the firm's hourly rate. One statement."""
    firm = Firm.objects.first()
    weighed = next((each for each in case.facts.spares if each.code == readiness.spare), None)
    standby = next((each for each in shelf.spares if each.row.code == readiness.spare), None)
    way = (shelf.way(standby, case.mesh) if standby else None) or NO_MINUTES
    takes, sent_minutes = weighed.restore_minutes if weighed else None, None
    if takes is not None and way.likely > LONGEST_DRIVE_MINUTES:
        takes, way, sent_minutes = takes.without(way), NO_MINUTES, way.likely
    restore = _sums(takes, firm)
    rejoin = _sums(rejoin_minutes(class_counts(case.nodes), way) if case.nodes else None, firm)
    record = PairRecord()
    if standby is not None and case.radio is not None:
        record = shelf.record_of(case.radio, standby)
    weighing = _weighing(restore, rejoin, record)
    return Costs(
        firm.currency if firm else "", restore, rejoin, record, weighing, sent_minutes, shelf.recorded
    )


def _sums(minutes: ThreePoints | None, firm: Firm | None) -> Sums | None:
    if minutes is None:
        return None
    if firm is None:
        return Sums(minutes, None, None, None)
    unit = smallest_unit(firm.currency)
    low, likely, high = (
        cost(each, firm.hourly_rate, unit) for each in (minutes.low, minutes.likely, minutes.high)
    )
    return Sums(minutes, low, likely, high)


def _weighing(restore: Sums | None, rejoin: Sums | None, record: PairRecord) -> Weighing | None:
    if restore is None or rejoin is None or restore.likely is None or rejoin.likely is None:
        return None
    # The lower bound and not the mean: one success in one try proves little.
    return weigh(restore.likely, rejoin.likely, record.lower_bound if record.trials else None)
