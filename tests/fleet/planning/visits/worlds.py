"""Invented technicians, homes and weeks for the plan's tests, made from a seed."""

import time as clocks
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.visits.budget import Budget
from fleet.planning.visits.request import Conditions, Licence, Request, RestRules, Rule, Technician, Visit
from fleet.planning.visits.span import Span
from fleet.planning.visits.travel import ByRoad, Hours

OSLO = ZoneInfo("Europe/Oslo")
MONDAY = date(2027, 3, 22)
WEEK_MONDAY = date(2027, 4, 12)  # a week without a holiday in Norway
ALWAYS = Licence("mains", date(2020, 1, 1), date(2040, 1, 1))
STEADY = Hours(OSLO)
RUSH = Hours(
    OSLO,
    ((time(0), 1.0), (time(7), 0.6), (time(9), 0.9), (time(15, 30), 0.55), (time(17, 30), 1.0)),
)
# A firm of the north and one of the far side: what is local there is another date than in UTC.
REGIONS = [
    (OSLO, 59.9, 10.7, "NO"),
    (ZoneInfo("Pacific/Chatham"), -43.95, -176.55, "NZ"),
    (ZoneInfo("Asia/Kathmandu"), 27.67, 85.43, "NP"),
    (ZoneInfo("America/St_Johns"), 47.56, -52.71, "CA"),
]


def at(text: str, zone: ZoneInfo = OSLO) -> datetime:
    """A local time such as 2027-03-22 09:00."""
    return datetime.fromisoformat(text).replace(tzinfo=zone)


def span(begin: str, end: str, zone: ZoneInfo = OSLO) -> Span:
    """A window on one date: span("2027-03-22 09:00", "12:00")."""
    return Span(at(begin, zone), at(f"{begin[:10]} {end}", zone))


def technician(code: str = "NOOR", **changes: object) -> Technician:
    """One who works on Monday 08:00 to 16:00 in Oslo."""
    usual = Technician(code, Position(59.91, 10.75), (span("2027-03-22 08:00", "16:00"),))
    return replace(usual, **changes)


def visit(code: str = "V1", **changes: object) -> Visit:
    """An hour at a home ten kilometres off, any time of Monday."""
    usual = Visit(
        code,
        f"HOME-{code}",
        Position(60.0, 10.75),
        OSLO,
        (span("2027-03-22 06:00", "20:00"),),
        ThreePoints.exactly(60),
    )
    return replace(usual, **changes)


def request(technicians: list[Technician], visits: list[Visit], hours: Hours = STEADY) -> Request:
    """By road at a steady pace."""
    return Request(tuple(technicians), tuple(visits), ByRoad(hours))


def budget(
    rounds: int = 300, seed: int = 1, seconds: float = 60, clock: Callable[[], float] = clocks.monotonic
) -> Budget:
    """So many rounds of the search; the seconds are only there so that a hung test ends."""
    return Budget(seconds, clock, seed, rounds)


def random_request(
    seed: int, *, days: int | None = None, people: int | None = None, visits: int | None = None
) -> Request:
    """A firm's day or few days with every kind of rule in it; many of its visits cannot be made."""
    dice = Random(seed)
    zone, latitude, longitude, country = dice.choice(REGIONS)
    first = MONDAY + timedelta(days=dice.randrange(0, 7))
    dates = [first + timedelta(days=count) for count in range(days or dice.randint(1, 3))]

    def place() -> Position:
        return Position(latitude + dice.uniform(-0.25, 0.25), longitude + dice.uniform(-0.4, 0.4))

    team = [_technician(dice, number, place(), zone, dates) for number in range(people or dice.randint(1, 4))]
    stops = [
        _visit(dice, number, place(), zone, country, dates, team)
        for number in range(visits or dice.randint(2, 12))
    ]
    if dice.random() < 0.4:  # a full day: most of it can be made
        whole = tuple(
            Span(min(day.begin for day in one.days), max(day.end for day in one.days))
            for one in team
            if one.days
        )
        easy = {"licences": frozenset(), "skills": frozenset(), "parts": {}, "conditions": Conditions()}
        stops = [replace(stop, windows=whole, **easy) if dice.random() < 0.7 else stop for stop in stops]
    return Request(tuple(team), tuple(stops), ByRoad(dice.choice([Hours(zone), replace(RUSH, zone=zone)])))


def _technician(dice: Random, number: int, base: Position, zone: ZoneInfo, dates: list[date]) -> Technician:
    begin, length = dice.choice([7, 8, 9, 12]), dice.choice([6, 8, 9, 11])
    days = [
        Span(start := datetime.combine(day, time(begin), zone), start + timedelta(hours=length))
        for day in dates
        if dice.random() < 0.9 or day == dates[0]
    ]
    lasts = [dates[0] - timedelta(days=1), dates[0], dates[-1], date(2040, 1, 1)]
    licences = tuple(
        Licence(kind, date(2020, 1, 1), dice.choice(lasts))
        for kind in ("mains", "ladder")
        if dice.random() < 0.7
    )
    return Technician(
        f"T{number}",
        base,
        tuple(days),
        licences,
        frozenset(skill for skill in ("locks", "heat") if dice.random() < 0.6),
        {family: dice.randint(0, 3) for family in "PQ"},
        RestRules(
            overtime=timedelta(minutes=dice.choice([0, 30, 90])),
            between_days=timedelta(hours=dice.choice([9, 11, 14])),
        ),
    )


def _visit(
    dice: Random,
    number: int,
    place: Position,
    zone: ZoneInfo,
    country: str,
    dates: list[date],
    team: list[Technician],
) -> Visit:
    windows = []
    for day in dates:
        if dice.random() < 0.8:
            begin = datetime.combine(day, time(dice.randint(6, 15), dice.choice([0, 30])), zone)
            windows.append(Span(begin, begin + timedelta(minutes=dice.choice([60, 120, 180, 300, 600]))))
    length = dice.choice([20, 45, 70, 110])
    conditions = Conditions(
        dice.random() < 0.15,
        country,
        0.0 if dice.random() < 0.2 else None,
        {
            day + timedelta(days=more): dice.uniform(-6, 8)
            for day in dates
            for more in (0, 1)
            if dice.random() < 0.8
        },
        dice.random() < 0.15,
        {Rule.FROST: "O. Hentsch"} if dice.random() < 0.1 else {},
    )
    pinned = dice.random() < 0.08 and windows
    return Visit(
        f"V{number}",
        f"HOME-{number if dice.random() < 0.85 else 0}",
        place,
        zone,
        tuple(windows),
        ThreePoints(length * 0.8, length, length * 1.5),
        frozenset(["mains"]) if dice.random() < 0.35 else frozenset(),
        frozenset([dice.choice(["locks", "heat"])]) if dice.random() < 0.25 else frozenset(),
        {dice.choice("PQ"): dice.choice([1, 1, 2])} if dice.random() < 0.4 else {},
        2 if dice.random() < 0.12 else 1,
        frozenset(["ladder"]) if dice.random() < 0.3 else frozenset(),
        datetime.combine(dice.choice(dates), time(dice.randint(8, 17)), UTC) if dice.random() < 0.5 else None,
        dice.choice([0.0, 1.0, 5.0]),
        conditions,
        dice.choice(team).code if dice.random() < 0.3 else None,
        dice.choice(team).code if dice.random() < 0.08 else None,
        dice.choice(windows).begin + timedelta(minutes=dice.choice([0, 30])) if pinned else None,
    )


def real_week(seed: int = 7, technicians: int = 5, visits: int = 50) -> Request:
    """A firm's week around Oslo: five vans, fifty visits with half-day windows, swaps not before the weekend."""
    dice = Random(seed)
    dates = [WEEK_MONDAY + timedelta(days=count) for count in range(5)]

    def place(spread: float) -> Position:
        return Position(59.9 + dice.gauss(0, spread), 10.7 + dice.gauss(0, 2 * spread))

    team = [
        Technician(
            f"T{number}",
            place(0.08),
            tuple(
                Span(datetime.combine(day, time(8), OSLO), datetime.combine(day, time(16), OSLO))
                for day in dates
            ),
            (ALWAYS,) if number < 3 else (),
            frozenset(["locks"]) if number % 2 else frozenset(),
            {"P": 4, "Q": 3},
        )
        for number in range(technicians)
    ]
    stops = []
    for number in range(visits):
        length = dice.choice([45, 60, 90, 120])
        halves = [(8, 12), (12, 17), (8, 17)]
        windows = tuple(
            Span(datetime.combine(day, time(begin), OSLO), datetime.combine(day, time(end), OSLO))
            for day in dates
            if dice.random() < 0.5
            for begin, end in [dice.choice(halves)]
        )
        stops.append(
            Visit(
                f"V{number}",
                f"HOME-{number}",
                place(0.12),
                OSLO,
                windows
                or (
                    Span(
                        datetime.combine(dates[2], time(8), OSLO), datetime.combine(dates[2], time(17), OSLO)
                    ),
                ),
                ThreePoints(length * 0.8, length, length * 1.5),
                frozenset(["mains"]) if dice.random() < 0.3 else frozenset(),
                frozenset(["locks"]) if dice.random() < 0.15 else frozenset(),
                {dice.choice("PQ"): 1} if dice.random() < 0.3 else {},
                2 if number % 25 == 24 else 1,
                due=datetime.combine(dice.choice(dates[1:]), time(17), OSLO) if dice.random() < 0.4 else None,
                value=dice.choice([0.0, 1.0, 5.0]),
                conditions=Conditions(not_before_weekend=dice.random() < 0.2, country="NO"),
                before=f"T{dice.randrange(technicians)}" if dice.random() < 0.4 else None,
            )
        )
    return Request(tuple(team), tuple(stops), ByRoad(RUSH))
