"""Whether a plan breaks a hard rule: found by reading the plan against the request, with no code of the solvers.

It shares with them only what is asked (`request`), the way's minutes (`travel`), sunrise, and the calendar.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

from fleet.planning.visits.daylight import daylight
from fleet.planning.visits.plan import Day, Plan, Stop
from fleet.planning.visits.request import Request, Rule, Technician, Visit
from fleet.planning.working_days import is_working_day

A_DAY, A_MINUTE = timedelta(days=1), timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Breach:
    """A hard rule that a plan breaks: at which visit (empty: the whole day), by whom, and one sentence."""

    rule: Rule
    visit: str
    technician: str
    because: str


def breaches(request: Request, plan: Plan) -> list[Breach]:
    """Every broken hard rule; none for a plan that may be driven."""
    found: list[Breach] = []
    for day in plan.days:
        technician = request.technician(day.technician)
        found += _hours(technician, day)
        found += _ways(request, technician, day)
        found += _pauses(technician, day)
        for stop in day.stops:
            found += _stop(request.visit(stop.visit), technician, stop)
    for technician in request.technicians:
        own = sorted(
            (day for day in plan.days if day.technician == technician.code), key=lambda day: day.leave
        )
        found += _rest(technician, own)
        found += _parts(request, technician, own)
    return found + list(_people(request, plan))


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M} UTC"


def _hours(technician: Technician, day: Day) -> Iterator[Breach]:
    rest, code = technician.rest, technician.code
    window = next((window for window in technician.days if window.begin <= day.leave < window.end), None)
    if window is None:
        yield Breach(
            Rule.HOURS,
            "",
            code,
            f"{technician.called} leaves at {_utc(day.leave)}, outside the working windows.",
        )
    elif day.back > window.end + rest.overtime:
        yield Breach(
            Rule.HOURS,
            "",
            code,
            f"{technician.called} is back at {_utc(day.back)}; the overtime ends before.",
        )
    if day.back - day.leave > rest.longest_day:
        yield Breach(
            Rule.HOURS,
            "",
            code,
            f"{technician.called} is out for {day.back - day.leave}; at most {rest.longest_day}.",
        )


def _rest(technician: Technician, days: list[Day]) -> Iterator[Breach]:
    code, rest = technician.code, technician.rest.between_days
    for one, following in pairwise(days):
        if following.leave - one.back < rest:
            because = (
                f"{technician.called} leaves again {following.leave - one.back} after being back; "
                f"the rest is {rest}."
            )
            yield Breach(Rule.REST, "", code, because)


def _ways(request: Request, technician: Technician, day: Day) -> Iterator[Breach]:
    """Each way takes at least what the travel says, and nothing begins before what goes before it is over."""
    code = technician.code
    free, place, at = day.leave, code, technician.base
    ends = [(stop.visit, stop.pause, stop.leave, stop.arrive) for stop in day.stops]
    stops = [request.visit(stop.visit) for stop in day.stops]
    last = day.stops[-1].end + day.last_pause if day.stops else day.leave
    goals = [*((visit.home, visit.place) for visit in stops), (code, technician.base)]
    for number, (visit, pause, leave, arrive) in enumerate([*ends, ("", day.last_pause, last, day.back)]):
        goal, goal_at = goals[number]
        minutes = request.travel.minutes(place, at, goal, goal_at)
        if leave < free + pause:
            yield Breach(
                Rule.WAY,
                visit,
                code,
                f"{technician.called} leaves at {_utc(leave)}, before the stop and pause before are over.",
            )
        if arrive < request.travel.hours.arrival(leave, minutes) - timedelta(seconds=1):
            yield Breach(
                Rule.WAY,
                visit,
                code,
                f"{technician.called} is at {goal} at {_utc(arrive)}; the way from {place} takes longer.",
            )
        if number < len(stops):
            free, place, at = day.stops[number].end, goal, goal_at


def _pauses(technician: Technician, day: Day) -> Iterator[Breach]:
    """No work over the limit without a pause or a wait as long; one stop alone, with its way, may be longer."""
    rest, since, jobs = technician.rest, day.leave, 0
    for stop in day.stops:
        if stop.pause >= rest.pause:
            since, jobs = stop.leave, 0
        if stop.wait >= rest.pause:
            since, jobs = stop.begin, 0
        jobs += 1
        if stop.end - since > rest.pause_within and jobs > 1:
            yield Breach(
                Rule.PAUSE,
                stop.visit,
                technician.code,
                f"{technician.called} works from {_utc(since)} without a pause.",
            )
    if day.last_pause < rest.pause and day.back - since > rest.pause_within and day.stops:
        yield Breach(
            Rule.PAUSE, "", technician.code, f"{technician.called} works from {_utc(since)} without a pause."
        )


def _stop(visit: Visit, technician: Technician, stop: Stop) -> Iterator[Breach]:
    def breach(rule: Rule, because: str) -> Breach:
        return Breach(rule, visit.code, technician.code, because)

    if stop.begin < stop.arrive or (stop.end - stop.begin) < visit.minutes.likely * A_MINUTE - timedelta(
        seconds=1
    ):
        yield breach(Rule.WAY, f"{visit.code} begins before {technician.called} is there, or is too short.")
    if not any(window.begin <= stop.begin and stop.end <= window.end for window in visit.windows):
        yield breach(
            Rule.WINDOW, f"{visit.code}, {stop.begin} to {stop.end}, lies in no window of {visit.home}."
        )
    if visit.pinned_at is not None and abs(stop.begin - visit.pinned_at) >= A_MINUTE:
        yield breach(Rule.PIN, f"{visit.code} begins at {stop.begin}; it is pinned at {visit.pinned_at}.")
    first, last = (moment.astimezone(visit.zone).date() for moment in (stop.begin, stop.end))
    for day in {first, last}:
        yield from (breach(rule, because) for rule, because in _home(visit, day))
        for kind in sorted(visit.licences if stop.lead else visit.helper_licences):
            held = [one for one in technician.licences if one.kind == kind]
            if not any(one.valid_from <= day <= one.valid_until for one in held):
                yield breach(Rule.LICENCE, f"{technician.called} holds no licence {kind} on {day}.")
    if visit.conditions.daylight and Rule.DAYLIGHT not in visit.conditions.waived:
        lights = [daylight(visit.place, day) for day in (first - A_DAY, first, first + A_DAY)]
        if not any(light and light.begin <= stop.begin and stop.end <= light.end for light in lights):
            yield breach(Rule.DAYLIGHT, f"{visit.code} is not all in daylight.")
    if stop.lead and visit.pinned_to not in (None, technician.code):
        yield breach(Rule.PIN, f"{visit.code} is pinned to {visit.pinned_to}.")
    if stop.lead and not visit.skills <= technician.skills:
        yield breach(
            Rule.SKILL, f"{technician.called} lacks {', '.join(sorted(visit.skills - technician.skills))}."
        )


def _home(visit: Visit, day: date) -> Iterator[tuple[Rule, str]]:
    conditions, near = visit.conditions, (day, day + A_DAY)
    if conditions.not_before_weekend and Rule.WEEKEND not in conditions.waived:
        free = [one for one in near if not is_working_day(one, conditions.country)]
        if free:
            yield Rule.WEEKEND, f"{free[0]} is free at {visit.home}."
    limit = conditions.frost_limit_c
    if limit is not None and Rule.FROST not in conditions.waived:
        lows = [conditions.lowest_c[one] for one in near if one in conditions.lowest_c]
        if lows and min(lows) < limit:
            yield Rule.FROST, f"{min(lows):g} °C are forecast at {visit.home}; the limit is {limit:g}."


def _parts(request: Request, technician: Technician, days: list[Day]) -> Iterator[Breach]:
    used: Counter[str] = Counter()
    for day in days:
        for stop in day.stops:
            if stop.lead:
                used.update(request.visit(stop.visit).parts)
    for family, count in sorted(used.items()):
        if count > technician.parts.get(family, 0):
            on_van = technician.parts.get(family, 0)
            because = f"{technician.called} needs {count} of family {family}; {on_van} on the van."
            yield Breach(Rule.PART, "", technician.code, because)


def _people(request: Request, plan: Plan) -> Iterator[Breach]:
    """As many as a visit takes, each visit once, two of them others and in the same minutes."""
    stops: dict[str, list[tuple[str, Stop]]] = {}
    for day, stop in plan.stops:
        stops.setdefault(stop.visit, []).append((day.technician, stop))
    for code, there in stops.items():
        visit = request.visit(code)
        who = {technician for technician, _ in there}
        if len(there) != visit.people or len(who) != visit.people:
            yield Breach(
                Rule.PEOPLE,
                code,
                "",
                f"{code} takes {visit.people}; there are {len(who)} in {len(there)} stops.",
            )
        elif (
            len({(stop.begin, stop.end) for _, stop in there}) > 1 or sum(stop.lead for _, stop in there) != 1
        ):
            yield Breach(
                Rule.PEOPLE, code, "", f"{code} takes two at once; they are there at different times."
            )
