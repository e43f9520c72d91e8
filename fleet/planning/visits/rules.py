"""Which hard rules stand between a visit and a day, a person, an hour."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from fleet.planning.visits.daylight import daylight
from fleet.planning.visits.request import Rule, Technician, Visit
from fleet.planning.visits.span import Span
from fleet.planning.working_days import is_working_day

A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A hard rule that stands against a visit, with whom (empty: whoever comes), and one sentence."""

    rule: Rule
    technician: str
    because: str


def allowed_spans(visit: Visit) -> list[Span]:
    """Where the whole visit may lie by the client's windows and the home's conditions, whoever comes."""
    spans = _met(visit.windows, _days_allowed(visit)) if _has_day_rules(visit) else sorted(visit.windows)
    if _holds(visit, Rule.DAYLIGHT):
        days = [daylight(visit.place, day) for day in _dates(visit, spans)]
        spans = _met(spans, [light for light in days if light])
    return spans


def day_obstacles(visit: Visit, day: date) -> list[Obstacle]:
    """What at the home stands against a local date: the weekend, frost that night or the next."""
    found = []
    conditions = visit.conditions
    if _holds(visit, Rule.WEEKEND):
        free = next(
            (near for near in (day, day + A_DAY) if not is_working_day(near, conditions.country)), None
        )
        if free is not None:
            because = f"{visit.home} wants a working day that another follows; {free} is free."
            found.append(Obstacle(Rule.WEEKEND, "", because))
    limit = conditions.frost_limit_c
    if limit is not None and _holds(visit, Rule.FROST):
        cold = [near for near in (day, day + A_DAY) if conditions.lowest_c.get(near, limit) < limit]
        for near in cold[:1]:
            low = conditions.lowest_c[near]
            because = f"{low:g} °C are forecast at {visit.home} on {near}; the limit is {limit:g}."
            found.append(Obstacle(Rule.FROST, "", because))
    return found


def person_obstacles(
    visit: Visit, technician: Technician, days: Iterable[date], *, helper: bool = False
) -> list[Obstacle]:
    """What stands against a technician at a visit on local dates; a helper needs only the helper's licences."""
    needed = visit.helper_licences if helper else visit.licences
    held = list(days)
    found = []
    for kind in sorted(needed):
        lacking = next((day for day in held if not technician.holds(kind, day)), None)
        if lacking is not None:
            because = f"{technician.called} holds no licence {kind} that is valid on {lacking}."
            found.append(Obstacle(Rule.LICENCE, technician.code, because))
    if helper:
        return found
    for skill in sorted(visit.skills - technician.skills):
        found.append(Obstacle(Rule.SKILL, technician.code, f"{technician.called} has not the skill {skill}."))
    for family, count in sorted(visit.parts.items()):
        on_van = technician.parts.get(family, 0)
        if on_van < count:
            because = (
                f"{technician.called} has {on_van} of family {family} on the van; {visit.code} needs {count}."
            )
            found.append(Obstacle(Rule.PART, technician.code, because))
    if visit.pinned_to not in (None, technician.code):
        because = f"{visit.code} is pinned to {visit.pinned_to}, not {technician.called}."
        found.append(Obstacle(Rule.PIN, technician.code, because))
    return found


def local_dates(begin: datetime, end: datetime, visit: Visit) -> list[date]:
    """The dates at the home from one instant to another, both included."""
    first, last = begin.astimezone(visit.zone).date(), end.astimezone(visit.zone).date()
    return [first + A_DAY * count for count in range((last - first).days + 1)]


def forecast_unknown(visit: Visit, day: date) -> bool:
    """Whether the frost rule holds at the home and nobody knows the low of that date or the next."""
    conditions = visit.conditions
    rule = conditions.frost_limit_c is not None and _holds(visit, Rule.FROST)
    return rule and not all(near in conditions.lowest_c for near in (day, day + A_DAY))


def _holds(visit: Visit, rule: Rule) -> bool:
    conditions = visit.conditions
    wanted = {
        Rule.WEEKEND: conditions.not_before_weekend,
        Rule.FROST: conditions.frost_limit_c is not None,
        Rule.DAYLIGHT: conditions.daylight,
    }
    return wanted[rule] and rule not in conditions.waived


def _has_day_rules(visit: Visit) -> bool:
    return _holds(visit, Rule.WEEKEND) or _holds(visit, Rule.FROST)


def _dates(visit: Visit, spans: Iterable[Span]) -> list[date]:
    # A day before and after: where the date line is near, a solar day lies in two dates.
    return sorted({day for span in spans for day in local_dates(span.begin - A_DAY, span.end + A_DAY, visit)})


def _days_allowed(visit: Visit) -> list[Span]:
    """Runs of whole local dates against which nothing at the home stands, each as one span."""
    good = [day for day in _dates(visit, visit.windows) if not day_obstacles(visit, day)]
    return [Span(_midnight(first, visit), _midnight(last + A_DAY, visit)) for first, last in _runs(good)]


def _runs(days: list[date]) -> Iterator[tuple[date, date]]:
    breaks = [
        0,
        *(place + 1 for place, (one, two) in enumerate(pairwise(days)) if two - one > A_DAY),
        len(days),
    ]
    for start, stop in pairwise(breaks):
        if start < stop:
            yield days[start], days[stop - 1]


def _midnight(day: date, visit: Visit) -> datetime:
    return datetime.combine(day, time(0), visit.zone)


def _met(one: Iterable[Span], other: Iterable[Span]) -> list[Span]:
    """Where both hold; instants are compared, so spans of one zone and another may meet."""
    limits = list(other)
    both = [(max(span.begin, limit.begin), min(span.end, limit.end)) for span in one for limit in limits]
    return sorted(Span(begin, end) for begin, end in both if begin < end)
