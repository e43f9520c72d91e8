"""The plan's search: Solomon's RC208, a real week, and random days, beside simpler answers of the same run.

Run from the project's folder: python -m tests.bench.bench_visits [solomon] [week] [days]   (all three without words)
or, for another instance of Solomon's kind in VRPLIB form: ... file PATH BEST_KNOWN
Solomon: 25 customers in half a second and 100 in ten against the best known, beside going to the nearest next and
beside cheapest insertion alone. Week: 5 technicians and 50 visits, ten seconds against two minutes. Days: 500 random
days, each checked for broken hard rules by code that shares nothing with the solvers. All seconds are those of the
processor (the search uses one), so that a busy machine measures the same.
"""

import sys
from pathlib import Path
from time import process_time

from fleet.planning.visits.bounds import travel_bound
from fleet.planning.visits.budget import Budget, Deadline
from fleet.planning.visits.case import Case, Orders, make_case
from fleet.planning.visits.checking import breaches
from fleet.planning.visits.mending import Table, best_place, mend, weight_of
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.solving import look_for, make_plan
from fleet.planning.visits.timing import State, close, start_of, step
from tests.fleet.planning.visits.worlds import random_request, real_week
from tests.outside.solomon import BEST_KNOWN, TENTHS, solomon

SOLOMON = ((25, 0.5, 0.0), (100, 10.0, 0.01))
SEEDS = (1, 2, 3)
WEEK_SECONDS, LONG_SECONDS, HOLD_WEEK = 10, 120, 0.05
DAYS, ROUNDS = 500, 200


def nearest_next(case: Case) -> Orders:
    """From where the van is to the nearest job that can still be done; when there is none, the next van."""
    left, orders = set(range(len(case.jobs))), []
    for number, shift in enumerate(case.shifts):
        state = start_of(shift)
        while True:
            tries = ((name, step(case, number, state, name)) for name in sorted(left))
            able = [
                (case.legs[state.place][case.jobs[name].place], name, after)
                for name, after in tries
                if after is not None
                and close(case, number, after) is not None
                and _on_board(case, number, after)
            ]
            if not able:
                break
            _, name, state = min(able, key=lambda way: way[:2])
            left.remove(name)
        orders.append(tuple(beat.job for beat in state.beats))
    return tuple(orders)


def _on_board(case: Case, number: int, state: State) -> bool:
    taken = sum(case.jobs[beat.job].parts[0] for beat in state.beats) if case.stocks[0] else 0
    return not case.stocks[0] or taken <= case.stocks[case.shifts[number].owner][0]


def inserted(case: Case) -> Orders:
    """Day after day: the farthest job first, then again and again the job and place that together cost least."""
    table = Table(case, [() for _ in case.shifts])
    for number, shift in enumerate(case.shifts):
        while True:
            able = [
                (place[0], name, place[1])
                for name in table.left()
                if (place := best_place(table, name, number)) is not None
            ]
            if not able:
                break
            far = max(able, key=lambda place: case.legs[shift.base][case.jobs[place[1]].place])
            table.orders[number] = (min(able) if table.orders[number] else far)[2]
    return tuple(table.orders)


def solomon_part() -> bool:
    """Both sizes, each seed; the worst seed must hold."""
    held = []
    for customers, seconds, hold in SOLOMON:
        case, best = solomon(customers), BEST_KNOWN[customers]
        simple = {"nearest next": nearest_next(case), "insertion": inserted(case)}
        for name, orders in simple.items():
            print(
                f"RC208.{customers}: {name:12} {weight_of(case, orders) / TENTHS:7.1f}, {over(case, orders, best):+.1%}"
            )
        gaps = []
        for seed in SEEDS:
            limit = Budget(seconds, process_time, seed)
            began = process_time()
            orders = look_for(case, Deadline.begin(limit), limit)
            took = process_time() - began
            gaps.append(over(case, orders, best))
            print(
                f"RC208.{customers}: search, seed {seed} {weight_of(case, orders) / TENTHS:6.1f}, {gaps[-1]:+.2%} of "
                f"{best} in {took:.2f} s (hold {hold:.0%} in {seconds} s)",
                flush=True,
            )
        jobs = list(case.jobs)
        bound = travel_bound(case, jobs, best * TENTHS) / TENTHS
        print(
            f"RC208.{customers}: our lower bound {bound:.1f}, the best known is {best / bound - 1:.1%} over it"
        )
        held.append(max(gaps) <= hold + 1e-9)
    return all(held)


def file_part(path: str, best: str) -> bool:
    """Any instance of Solomon's kind against its best known distance, ten seconds; held within 1 %."""
    case, limit = solomon(path=Path(path)), Budget(SOLOMON[-1][1], process_time)
    for name, orders in (("nearest next", nearest_next(case)), ("insertion", inserted(case))):
        print(f"{len(case.jobs)} customers: {name:12} {weight_of(case, orders) / TENTHS:.1f}")
    orders = look_for(case, Deadline.begin(limit), limit)
    gap = over(case, orders, float(best))
    print(f"{len(case.jobs)} customers: search {weight_of(case, orders) / TENTHS:.1f}, {gap:+.2%} of {best}")
    return gap <= SOLOMON[-1][2] + 1e-9


def over(case: Case, orders: Orders, best: float) -> float:
    return weight_of(case, orders) / TENTHS / best - 1


def week_part() -> bool:
    """Ten seconds against two minutes, by all that a plan weighs; two weeks."""
    held = [week(seed) for seed in SEEDS[:2]]
    return all(held)


def week(seed: int) -> bool:
    world = real_week(seed)
    case = make_case(world)
    for name, orders in (("nearest next", nearest_next_week(case)), ("insertion", inserted(case))):
        print(f"week {seed}: {name:12} weighs {weight_of(case, orders)} (visits of two as if made by one)")
    heard: list[tuple[float, int]] = []
    began = process_time()
    limit = Budget(WEEK_SECONDS, process_time, seed)
    short = make_plan(world, limit, lambda plan: heard.append((process_time() - began, plan.weight)))
    took = process_time() - began
    long = make_plan(world, Budget(LONG_SECONDS, process_time, seed + 100))
    # Visits that no plan can make weigh in both; they would only make the difference look smaller.
    never = sum(job.left_out for job in case.jobs if not job.shifts)
    gap = (short.weight - never) / (long.weight - never) - 1
    broken = breaches(world, short) + breaches(world, long)
    print(
        f"week {seed}: first answer after {heard[0][0]:.2f} s weighs {heard[0][1]}; {len(heard)} told in all"
    )
    print(f"week {seed}: {took:5.1f} s: {told(short)}")
    print(f"week {seed}: {LONG_SECONDS:5} s: {told(long)}")
    print(f"week {seed}: {gap:+.2%} (hold {HOLD_WEEK:.0%}), {len(broken)} broken hard rules", flush=True)
    return gap <= HOLD_WEEK and not broken


def nearest_next_week(case: Case) -> Orders:
    """The nearest next, with what a van cannot carry taken out again."""
    return mend(case, nearest_next(case), Deadline.begin(Budget(0, process_time)))


def told(plan: Plan) -> str:
    gap = f"{plan.gap:.0%}" if plan.gap is not None else "none"
    return (
        f"weight {plan.weight} (travel {plan.travel_minutes} min, gap {gap} over the bound, late {plan.late_minutes}, "
        f"overtime {plan.overtime_minutes}, left out {len(plan.left_out)}, two at once {plan.together_weight})"
    )


def days_part() -> bool:
    """Random days with every kind of rule."""
    broken = stops = left = 0
    began = process_time()
    for seed in range(DAYS):
        world = random_request(seed)
        plan = make_plan(world, Budget(60, process_time, seed, ROUNDS))
        broken += len(breaches(world, plan))
        stops, left = stops + len(plan.stops), left + len(plan.left_out)
    took = process_time() - began
    print(
        f"{DAYS} random days: {stops} stops, {left} visits left out, {broken} broken hard rules (hold 0); {took:.0f} s"
    )
    return broken == 0


def main() -> None:
    if sys.argv[1:2] == ["file"]:
        raise SystemExit(None if file_part(*sys.argv[2:4]) else "not held")
    parts = {"solomon": solomon_part, "week": week_part, "days": days_part}
    wanted = sys.argv[1:] or list(parts)
    held = [parts[name]() for name in wanted]
    if not all(held):
        raise SystemExit("not held")


if __name__ == "__main__":
    main()
