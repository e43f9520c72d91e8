"""What to tell somebody now: the list of the morning, the rest of it later, and what cannot wait.

Two rules against tiring (trade rows C-9, L2): a home is told as urgent at most once in 24 hours, unless it has
become worse since; and there is one list a day, with the rest of it once it is day where it was night.
Common practice, no source.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fleet.planning.messages.causes import Group, by_cause
from fleet.planning.messages.quiet import Later, is_quiet, later_today
from fleet.planning.messages.standing import Standing, Trouble, count_homes

NOT_AGAIN_WITHIN = timedelta(hours=24)
URGENT = frozenset({Trouble.STRANDED, Trouble.BARE})


@dataclass(frozen=True, slots=True)
class Told:
    """What somebody was last told of a mesh as urgent, when, and the mildest state since, as a severity."""

    trouble: Trouble
    at: datetime
    mildest: int


@dataclass(frozen=True, slots=True)
class MorningList:
    """One day's list for one reader. Groups are told now; `later` says what is told today, and when.

    `homes` counts all homes open to the reader by their worst trouble, None for those without any.
    """

    homes: Counter[Trouble | None]
    groups: tuple[Group, ...]
    later: Later | None


def is_urgent(standing: Standing) -> bool:
    """True of a mesh that holds what people's safety hangs on and could not be brought back now."""
    return standing.safety and standing.trouble in URGENT


def urgent(standings: Iterable[Standing], told: Mapping[str, Told], now: datetime) -> tuple[Standing, ...]:
    """The meshes to tell of at once, whatever the hour. `told` goes by mesh code."""
    return tuple(each for each in standings if is_urgent(each) and _is_news(each, told.get(each.code), now))


def _is_news(standing: Standing, told: Told | None, now: datetime) -> bool:
    if told is None:
        return True
    known = told.trouble.severity if now - told.at < NOT_AGAIN_WITHIN else told.mildest
    return standing.severity < known


def list_is_due(now: datetime, zone: ZoneInfo, last_on: date | None) -> bool:
    """True by day on the reader's clock, where they have had no list on this date of theirs."""
    return not is_quiet(now, zone) and last_on != now.astimezone(zone).date()


def morning_list(standings: Iterable[Standing], zone: ZoneInfo, now: datetime) -> MorningList:
    """The whole book as open to one reader, divided into what is told now and what must wait for daylight."""
    standings = tuple(standings)
    asleep = {
        each.code: each.zone
        for each in standings
        if each.trouble and not each.safety and is_quiet(now, each.zone)
    }
    awake = [each for each in standings if each.code not in asleep]
    return MorningList(count_homes(standings), by_cause(awake), later_today(asleep, zone, now))


def rest_of_list(standings: Iterable[Standing], codes: Iterable[str], now: datetime) -> tuple[Group, ...]:
    """The groups to tell now of meshes that had to wait; those that are well again, or asleep, are left out."""
    wanted = set(codes)
    return by_cause(each for each in standings if each.code in wanted and not is_quiet(now, each.zone))
