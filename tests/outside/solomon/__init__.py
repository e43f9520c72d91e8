"""Solomon's instance RC208 as a case, and its published values (README.md names the sources)."""

from datetime import UTC, datetime
from itertools import pairwise
from math import hypot, trunc
from pathlib import Path

from fleet.planning.visits.case import Case, Job
from fleet.planning.visits.request import Weights
from fleet.planning.visits.shifts import Shift
from fleet.planning.visits.span import Minutes

HERE = Path(__file__).parent
RC208 = HERE / "RC208.vrp"
BEST_KNOWN = {25: 269.1, 100: 776.1}
TENTHS = 10
NO_PAUSE = 10**6


def sections(path: Path) -> dict[str, list[list[str]]]:
    """The rows of each section of the instance; single values under their own name."""
    found: dict[str, list[list[str]]] = {}
    rows: list[list[str]] = []
    for line in path.read_text().splitlines():
        name, colon, value = (part.strip() for part in line.partition(":"))
        if colon:
            found[name] = [[value]]
        elif line[:1].isalpha():
            rows = found.setdefault(name, [])
        elif line.split():
            rows.append(line.split())
    return found


def solomon(customers: int | None = None, path: Path = RC208) -> Case:
    """The first so many customers of an instance in VRPLIB form, or all of them.

    Everything is in tenths, so that whole numbers hold the published convention.
    """
    data = sections(path)
    points = [(float(x), float(y)) for _, x, y in data["NODE_COORD_SECTION"]]
    windows = [(int(ready) * TENTHS, int(due) * TENTHS) for _, ready, due in data["TIME_WINDOW_SECTION"]]
    demands = [int(demand) for _, demand in data["DEMAND_SECTION"]]
    vehicles, capacity, service = (int(data[name][0][0]) for name in ("VEHICLES", "CAPACITY", "SERVICE_TIME"))
    points = points[: len(points) if customers is None else customers + 1]
    legs = tuple(tuple(trunc(TENTHS * hypot(x - u, y - v) + 1e-9) for u, v in points) for x, y in points)
    every = frozenset(range(vehicles))
    begin, end = windows[0]
    return Case(
        Minutes(datetime(2027, 1, 1, tzinfo=UTC)),
        tuple(Shift(owner, 0, begin, end, end, 0, NO_PAUSE) for owner in range(vehicles)),
        tuple(
            Job(place - 1, place, service * TENTHS, (windows[place],), every, 10**6, None, (demands[place],))
            for place in range(1, len(points))
        ),
        legs,
        lambda leaving, minutes: leaving + minutes,
        Weights(1, 0, 0, 0, 0, 10**6),
        tuple((capacity,) for _ in range(vehicles)),
    )


def published_routes() -> list[list[int]]:
    """The best known solution's routes, as customers from 1 on."""
    lines = (HERE / "RC208.sol").read_text().splitlines()
    return [
        [int(name) for name in line.partition(":")[2].split()] for line in lines if line.startswith("Route")
    ]


def length(case: Case, routes: list[list[int]]) -> float:
    """The distance of routes of customers, added up here and nowhere else."""
    ways = (way for route in routes for way in pairwise([0, *route, 0]))
    return sum(case.legs[one][two] for one, two in ways) / TENTHS
