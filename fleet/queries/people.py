"""Who works in the days to come, and whose licence ends: what the pages and the command about people show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from sites.models import DayOff, Licence, Person
from sites.queries import WorkingFacts, working_facts

DAYS_AHEAD = 7
SOON_DAYS = 60
"""A course and an examination take about so long to come by: common practice, no source."""


class Standing(StrEnum):
    """How a licence stands on a day."""

    ENDED = "ended"
    SOON = "ends soon"
    HOLDS = "holds"
    COMING = "not yet"


@dataclass(frozen=True, slots=True)
class Held:
    """A licence as it stands today; days until its last day, less than 0 once that is past."""

    row: Licence
    standing: Standing
    days: int


@dataclass(frozen=True, slots=True)
class WorkDay:
    """One day of the person's own calendar: hours on their clock, or why there are none."""

    day: date
    hours: tuple[tuple[datetime, datetime], ...]
    is_off: bool


@dataclass(frozen=True, slots=True)
class Worker:
    """One person with the seven days that begin today on their clock.

    licences: of each kind the one that runs longest. why_not is empty where they can drive out in these days.
    """

    person: Person
    facts: WorkingFacts
    days: tuple[WorkDay, ...]
    licences: tuple[Held, ...]
    off: tuple[DayOff, ...]
    why_not: str

    @property
    def can_drive(self) -> bool:
        """Whether a plan could send them out in these days."""
        return not self.why_not

    @property
    def skills(self) -> list[str]:
        """In order."""
        return sorted(self.facts.skills)

    @property
    def days_out(self) -> int:
        """On how many of the days they work."""
        return sum(bool(each.hours) for each in self.days)


def workers(people: Iterable[Person], now: datetime) -> list[Worker]:
    """These people, those who can drive out first, by name. Seven statements, and that of `people`."""
    today = now.date()
    # What is today somewhere is yesterday or tomorrow in UTC.
    facts = working_facts(people, today - timedelta(days=1), today + timedelta(days=DAYS_AHEAD + 1))
    licences: dict[int, list[Licence]] = {pk: [] for pk in facts}
    for row in Licence.objects.filter(person__in=facts).order_by("kind", "valid_until"):
        licences[row.person_id].append(row)
    off: dict[int, list[DayOff]] = {pk: [] for pk in facts}
    for days in DayOff.objects.filter(person__in=facts, last_day__gte=today - timedelta(days=1)):
        off[days.person_id].append(days)
    found = [_worker(each, licences[pk], off[pk], now) for pk, each in facts.items()]
    return sorted(
        found, key=lambda each: (not each.can_drive, not each.days_out, str(each.person).casefold())
    )


def _worker(facts: WorkingFacts, licences: list[Licence], off: list[DayOff], now: datetime) -> Worker:
    here = now.astimezone(facts.zone)
    today = here.date()
    coming = tuple(each for each in off if each.last_day >= today)
    days = tuple(_day(facts, coming, today + timedelta(days=ahead)) for ahead in range(DAYS_AHEAD))
    latest = {row.kind: row for row in licences}
    held = tuple(_held(row, today) for row in latest.values())
    return Worker(facts.person, facts, days, held, coming, _why_not(facts, days, now))


def _day(facts: WorkingFacts, off: Iterable[DayOff], day: date) -> WorkDay:
    hours = [(span.begin.astimezone(facts.zone), span.end.astimezone(facts.zone)) for span in facts.stretches]
    return WorkDay(
        day,
        tuple((begin, end) for begin, end in hours if begin.date() == day),
        any(each.first_day <= day <= each.last_day for each in off),
    )


def _held(row: Licence, today: date) -> Held:
    left = (row.valid_until - today).days
    if left < 0:
        return Held(row, Standing.ENDED, left)
    if row.valid_from is not None and row.valid_from > today:
        return Held(row, Standing.COMING, left)
    return Held(row, Standing.SOON if left <= SOON_DAYS else Standing.HOLDS, left)


def _why_not(facts: WorkingFacts, days: Iterable[WorkDay], now: datetime) -> str:
    ahead = [end for day in days for _, end in day.hours if end > now]
    if facts.base is None:
        return "no base is written down" if ahead else "no working hours in these days, and no base"
    return "" if ahead else "no working hours in these days"
