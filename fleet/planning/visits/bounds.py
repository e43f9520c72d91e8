"""A travel time that no plan with the same stops can go below.

Two bounds, the better one counts. *Assignment bound*: every stop is left once and entered once, bases as often as
there are days, ways that no clock allows struck out; the cheapest such choice (Kuhn 1955, Munkres 1957) need not hang
together, so it is never more than a plan. *1-tree bound*: the ways of a plan hang together through the bases, so they
weigh at least a shortest tree and one more way at the root, with prices on stops moved uphill (Held and Karp 1970/71)
until a tree looks like a tour. Both drive at the pace of the quickest minute, the tree each way in its
cheaper direction. Recalled.
"""

from collections.abc import Sequence

from fleet.planning.visits.case import Case, Job

STEPS = 150
NEVER = 10**9

Table = list[list[float]]


def travel_bound(case: Case, jobs: Sequence[Job], travel: float, pace: float = 1.0) -> float:
    """Minutes that no plan that makes the same jobs can go below; travel is what a known plan needs.

    The jobs say where they may lie in any plan, not where they lie in the known one. pace is that of the quickest
    minute in which anybody works.
    """
    if not jobs:
        return 0.0
    days = sum(1 for shift in range(len(case.shifts)) if any(shift in job.shifts for job in jobs))
    bases = [[case.shifts[shift].base for shift in job.shifts] for job in jobs]
    out = [min(case.legs[base][job.place] for base in near) for job, near in zip(jobs, bases, strict=True)]
    back = [min(case.legs[job.place][base] for base in near) for job, near in zip(jobs, bases, strict=True)]
    ways = [[_way(case, one, two) for two in jobs] for one in jobs]
    bound, used = 0.0, 0
    # Work and the ways so far known fill some days; that many ways out and back may ask for more days again.
    while used < (needed := _days_at_least(case, jobs, bound)):
        used = needed
        both = (
            _assignment_bound(ways, out, back, days, used),
            _tree_bound(ways, out, back, days, used, travel * pace),
        )
        bound = max(bound, max(both) / pace)
    return bound


def _days_at_least(case: Case, jobs: Sequence[Job], travel: float) -> int:
    """As many days as work and travel fill, the longest days first; one at least."""
    shifts = frozenset[int]().union(*(job.shifts for job in jobs))
    lengths = sorted((case.shifts[shift].until - case.shifts[shift].begin for shift in shifts), reverse=True)
    minutes, days = sum(job.minutes for job in jobs) + travel, 0
    while minutes > 0 and days < len(lengths):
        minutes -= lengths[days]
        days += 1
    return days


def _way(case: Case, first: Job, then: Job) -> float:
    """Minutes from one job to another in one shift; NEVER where no shift does both in this order."""
    if first is then or not first.shifts & then.shifts:
        return NEVER
    minutes = case.legs[first.place][then.place]
    soonest = max(first.openings[0][0], min(case.shifts[shift].begin for shift in first.shifts))
    return minutes if soonest + first.minutes + minutes <= then.openings[-1][1] else NEVER


def _assignment_bound(
    ways: Table, out: Sequence[float], back: Sequence[float], days: int, used: int
) -> float:
    count = len(out)
    table: Table = [[*ways[one], *([back[one]] * days)] for one in range(count)]
    idle = days - used
    table += [[*out, *([0.0 if day < idle else NEVER] * days)] for day in range(days)]
    return assignment(table)


def assignment(table: Table) -> float:
    """The least sum that takes one of each row and of each column of a square table (shortest augmenting paths)."""
    size = len(table)
    row_price, column_price = [0.0] * (size + 1), [0.0] * (size + 1)
    row_of, before = [0] * (size + 1), [0] * (size + 1)
    for row in range(1, size + 1):
        row_of[0] = row
        least, done, column = [float("inf")] * (size + 1), [False] * (size + 1), 0
        while True:
            done[column] = True
            here, step, following = row_of[column], float("inf"), 0
            for other in range(1, size + 1):
                if done[other]:
                    continue
                price = table[here - 1][other - 1] - row_price[here] - column_price[other]
                if price < least[other]:
                    least[other], before[other] = price, column
                if least[other] < step:
                    step, following = least[other], other
            for other in range(size + 1):
                if done[other]:
                    row_price[row_of[other]] += step
                    column_price[other] -= step
                else:
                    least[other] -= step
            column = following
            if row_of[column] == 0:
                break
        while column:
            row_of[column] = row_of[before[column]]
            column = before[column]
    return sum(table[row_of[column] - 1][column - 1] for column in range(1, size + 1))


def _tree_bound(
    ways: Table, out: Sequence[float], back: Sequence[float], days: int, used: int, travel: float
) -> float:
    """A plan of k days is a tree and k more ways at the root: the cheapest k, whichever k may be."""
    count = len(out)
    both = [[min(ways[one][two], ways[two][one]) for two in range(count)] for one in range(count)]
    root = [min(out[name], back[name]) for name in range(count)]
    price, best, pace = [0.0] * count, 0.0, 2.0
    for turn in range(STEPS):
        length, degree = _tree(both, root, price)
        extra = sorted((root[name] + price[name], name) for name in range(count))[: max(used, days)]
        taken = extra[:used] + [way for way in extra[used:] if way[0] < 0]
        for _, name in taken:
            degree[name] += 1
        bound = length + sum(way for way, _ in taken) - 2 * sum(price)
        best = max(best, bound)
        off = [have - 2 for have in degree]
        if not any(off):
            break
        if turn % 10 == 9:
            pace *= 0.7
        stride = pace * max(1.0, travel - bound) / sum(value * value for value in off)
        price = [now + stride * value for now, value in zip(price, off, strict=True)]
    return best


def _tree(both: Table, root: Sequence[float], price: Sequence[float]) -> tuple[float, list[int]]:
    """The shortest tree over root and stops with prices, and how many of its ways meet at each stop (Prim 1957)."""
    count = len(root)
    near = [(root[name] + price[name], -1) for name in range(count)]
    open_stops, length, degree = set(range(count)), 0.0, [0] * count
    while open_stops:
        name = min(open_stops, key=lambda stop: near[stop][0])
        way, from_stop = near[name]
        open_stops.remove(name)
        length += way
        degree[name] += 1
        if from_stop >= 0:
            degree[from_stop] += 1
        row, own = both[name], price[name]
        for other in open_stops:
            reach = row[other] + own + price[other]
            if reach < near[other][0]:
                near[other] = (reach, name)
    return length, degree
