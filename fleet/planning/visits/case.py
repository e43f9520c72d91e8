"""A request with every rule worked out, in whole minutes: what solvers see.

What may never be broken has become openings (when a job may begin) and eligible shifts; what is only unwelcome has
become weight. A visit of one person is one job; a visit of two is one job until their time is fixed, then two.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil

from fleet.planning.visits.request import Request, Visit, Weights
from fleet.planning.visits.rules import allowed_spans, local_dates, person_obstacles
from fleet.planning.visits.shifts import Shift, shifts_of
from fleet.planning.visits.span import Minutes, VisitError
from fleet.planning.visits.travel import Arrive, in_minutes

Openings = tuple[tuple[int, int], ...]
Orders = tuple[tuple[int, ...], ...]
"""The jobs of each shift, in order of driving."""


@dataclass(frozen=True, slots=True)
class Job:
    """One person's part in a visit.

    openings are the minutes it may begin in, in order, none touching another. strange are shifts of those who were not
    there before. partner is the job of the other person, who begins in the same minute.
    """

    visit: int
    place: int
    minutes: int
    openings: Openings
    shifts: frozenset[int]
    left_out: int
    due: int | None = None
    parts: tuple[int, ...] = ()
    strange: frozenset[int] = frozenset()
    partner: int | None = None


@dataclass(frozen=True, slots=True)
class Appointment:
    """Two people at one home at one minute, each in a shift of their own."""

    lead: int
    helper: int
    at: int


@dataclass(frozen=True, slots=True)
class Case:
    """Shifts, jobs, minutes at free flow between places, arrival by the clock, and parts by owner.

    steady: no hour is slower than another.
    """

    clock: Minutes
    shifts: tuple[Shift, ...]
    jobs: tuple[Job, ...]
    legs: tuple[tuple[int, ...], ...]
    arrive: Arrive
    weights: Weights
    stocks: tuple[tuple[int, ...], ...]
    steady: bool = True

    @property
    def plain(self) -> bool:
        """Whether a search that knows no pace, no pauses and no parts beyond a day knows everything."""
        pauses = any(shift.until - shift.begin > shift.pause_within for shift in self.shifts)
        owners = [shift.owner for shift in self.shifts]
        shared = len(set(owners)) < len(owners) and any(any(job.parts) for job in self.jobs)
        return self.steady and not pauses and not shared


def make_case(request: Request, together: Mapping[int, Appointment] | None = None) -> Case:
    """Work a request out; together are the appointments of visits, by number, that take two people.

    Without together, as if one person could do what takes two: job and visit then have one number.
    """
    clock = Minutes.before(_first_moment(request))
    families = sorted({family for visit in request.visits for family in visit.parts})
    shifts = tuple(
        shift
        for number, technician in enumerate(request.technicians)
        for shift in shifts_of(technician, number, clock)
    )
    jobs: list[Job] = []
    for number, visit in enumerate(request.visits):
        lead = _job(request, number, shifts, clock, families)
        appointment = (together or {}).get(number)
        if appointment is None:
            # Without an appointment nobody comes alone to what takes two.
            jobs.append(lead if together is None or visit.people == 1 else replace(lead, shifts=frozenset()))
        else:
            jobs += _both(lead, appointment, len(jobs))
    return Case(
        clock,
        shifts,
        tuple(jobs),
        _legs(request),
        in_minutes(request.travel.hours, clock.epoch),
        request.weights,
        tuple(
            tuple(technician.parts.get(family, 0) for family in families)
            for technician in request.technicians
        ),
        request.travel.hours.steady,
    )


def planned_minutes(visit: Visit) -> int:
    """The whole minutes that a visit is planned to take: the likely figure, rounded up, one at least."""
    return max(1, ceil(visit.minutes.likely - 1e-9))


def starts(visit: Visit, clock: Minutes) -> Openings:
    """The minutes a visit may begin in, so that all of it lies where it is allowed."""
    length = planned_minutes(visit)
    found = [(clock.up(span.begin), clock.down(span.end) - length) for span in allowed_spans(visit)]
    if visit.pinned_at is not None:
        at = clock.up(visit.pinned_at)
        found = [(max(first, at), min(last, at)) for first, last in found]
    return _joined((first, last) for first, last in found if first <= last)


def helpers(request: Request, case: Case, number: int) -> frozenset[int]:
    """The shifts whose owners may come as the second person to a visit."""
    visit = request.visits[number]
    return _eligible(request, visit, case.shifts, case.clock, starts(visit, case.clock), helper=True)


def _job(
    request: Request, number: int, shifts: Sequence[Shift], clock: Minutes, families: Sequence[str]
) -> Job:
    visit = request.visits[number]
    openings = starts(visit, clock)
    dearest = max(visit.value for visit in request.visits) or 1.0
    familiar = visit.before
    return Job(
        number,
        len(request.technicians) + number,
        planned_minutes(visit),
        openings,
        _eligible(request, visit, shifts, clock, openings, helper=False),
        round(request.weights.unplanned * (1 + visit.value / dearest)),
        None if visit.due is None else clock.down(visit.due),
        tuple(visit.parts.get(family, 0) for family in families),
        frozenset(
            place
            for place, shift in enumerate(shifts)
            if familiar is not None and request.technicians[shift.owner].code != familiar
        ),
    )


def _eligible(
    request: Request,
    visit: Visit,
    shifts: Sequence[Shift],
    clock: Minutes,
    openings: Openings,
    *,
    helper: bool,
) -> frozenset[int]:
    length = planned_minutes(visit)
    found = set()
    for place, shift in enumerate(shifts):
        if not any(first <= shift.until - length and last >= shift.begin for first, last in openings):
            continue
        # Every date that the day touches at the home: a licence that ends at midnight there is not leant on.
        days = local_dates(clock.moment(shift.begin), clock.moment(shift.until), visit)
        if not person_obstacles(visit, request.technicians[shift.owner], days, helper=helper):
            found.add(place)
    return frozenset(found)


def _both(lead: Job, appointment: Appointment, place: int) -> list[Job]:
    at = ((appointment.at, appointment.at),)
    one = replace(lead, openings=at, shifts=frozenset({appointment.lead}), partner=place + 1)
    nothing = tuple(0 for _ in lead.parts)
    other = replace(one, shifts=frozenset({appointment.helper}), due=None, parts=nothing, partner=place)
    return [one, replace(other, strange=frozenset())]


def _joined(openings: Iterable[tuple[int, int]]) -> Openings:
    found: list[tuple[int, int]] = []
    for first, last in sorted(openings):
        if found and first <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return tuple(found)


def _legs(request: Request) -> tuple[tuple[int, ...], ...]:
    places = [(technician.code, technician.base) for technician in request.technicians]
    places += [(visit.home, visit.place) for visit in request.visits]
    ways = request.travel
    return tuple(
        tuple(ceil(ways.minutes(one, one_at, two, two_at) - 1e-9) for two, two_at in places)
        for one, one_at in places
    )


def _first_moment(request: Request) -> datetime:
    moments = [day.begin for technician in request.technicians for day in technician.days]
    moments = moments or [window.begin for visit in request.visits for window in visit.windows]
    if not moments:
        raise VisitError("There is no day to plan: no technician has a working window, no visit a window.")
    return min(moments)
