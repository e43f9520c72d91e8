"""Orders made good under the exact rules of driving, and better by insertion and exchange.

What a search promised and the clock, the pauses or the van cannot keep is taken out, least weight first; then whatever
is left out goes in where it weighs least, and jobs change places while that helps.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from fleet.planning.visits.budget import Deadline
from fleet.planning.visits.case import Case, Orders
from fleet.planning.visits.exact import SMALL, best_order
from fleet.planning.visits.timing import Timed, left_weight, timed

Order = tuple[int, ...]


@dataclass
class Table:
    """Days being worked on, with what each day weighs."""

    case: Case
    orders: list[Order]
    known: dict[tuple[int, Order], Timed | None] = field(default_factory=dict)

    def day(self, shift: int, order: Order) -> Timed | None:
        """The timing of an order, worked out once."""
        key = (shift, order)
        if key not in self.known:
            self.known[key] = timed(self.case, shift, order)
        return self.known[key]

    def weight(self, shift: int) -> int:
        """What a day weighs that is known to be possible."""
        day = self.day(shift, self.orders[shift])
        return day.weight if day else 0

    def left(self) -> list[int]:
        """Jobs in no day, dearest first."""
        placed = {name for order in self.orders for name in order}
        out = [name for name in range(len(self.case.jobs)) if name not in placed]
        return sorted(out, key=lambda name: -self.case.jobs[name].left_out)

    def parts_left(self, owner: int) -> list[int]:
        """What stays on a van after all days."""
        stock = list(self.case.stocks[owner])
        for shift, order in zip(self.case.shifts, self.orders, strict=True):
            if shift.owner == owner:
                for name in order:
                    stock = [
                        have - take for have, take in zip(stock, self.case.jobs[name].parts, strict=False)
                    ]
        return stock

    def fits_van(self, name: int, owner: int) -> bool:
        """Whether a job's parts are still on the van."""
        return all(
            take <= have
            for have, take in zip(self.parts_left(owner), self.case.jobs[name].parts, strict=False)
        )


def mend(case: Case, orders: Orders, deadline: Deadline) -> Orders:
    """Orders that keep every rule, none worse for it than need be; improved until the deadline."""
    table = Table(case, list(orders))
    for shift in range(len(case.shifts)):
        _make_possible(table, shift)
    _empty_vans(table)
    _part_pairs(table)
    _insert_all(table)
    while not deadline.over() and (_relocate(table, deadline) or _reorder(table, deadline)):
        _insert_all(table)
    return tuple(table.orders)


def weight_of(case: Case, orders: Orders) -> int:
    """What orders weigh in all, with the jobs they leave out. The days must be possible."""
    days = [timed(case, shift, order) for shift, order in enumerate(orders)]
    placed = {name for order in orders for name in order}
    left = left_weight(case, (name for name in range(len(case.jobs)) if name not in placed))
    return sum(day.weight for day in days if day) + left


def overdrawn(case: Case, orders: Orders) -> set[int]:
    """The owners from whose van orders take more than there is."""
    table = Table(case, list(orders))
    return {owner for owner in range(len(case.stocks)) if any(left < 0 for left in table.parts_left(owner))}


def shared_out(case: Case, orders: Orders, owners: set[int]) -> tuple[tuple[int, ...], ...]:
    """The parts of each shift: all on the van, but of some owners what orders use, and the rest to the idlest day."""
    table = Table(case, list(orders))
    parts = [case.stocks[shift.owner] for shift in case.shifts]
    for owner in owners:
        own = [number for number, shift in enumerate(case.shifts) if shift.owner == owner]
        for number in own:
            columns = zip(*(case.jobs[name].parts for name in orders[number]), strict=True)
            parts[number] = tuple(sum(column) for column in columns) or tuple(0 for _ in parts[number])
        idle = min(own, key=lambda number: len(orders[number]))
        parts[idle] = tuple(
            take + over for take, over in zip(parts[idle], table.parts_left(owner), strict=True)
        )
    return tuple(parts)


def best_place(table: Table, name: int, shift: int) -> tuple[int, Order] | None:
    """The least that a job adds to a shift, and the order that does; None where it fits nowhere."""
    if shift not in table.case.jobs[name].shifts or not table.fits_van(name, table.case.shifts[shift].owner):
        return None
    before = table.weight(shift)
    order = table.orders[shift]
    tries = ((*order[:place], name, *order[place:]) for place in range(len(order) + 1))
    able = [(day.weight - before, new) for new in tries if (day := table.day(shift, new)) is not None]
    return min(able) if able else None


def _without(order: Order, name: int) -> Order:
    return tuple(other for other in order if other != name)


def _make_possible(table: Table, shift: int) -> None:
    while table.orders[shift] and table.day(shift, table.orders[shift]) is None:
        order = table.orders[shift]
        if len(order) <= SMALL and all(table.case.jobs[name].partner is None for name in order):
            table.orders[shift] = best_order(table.case, shift, order)[0]
            return
        single = [name for name in order if table.case.jobs[name].partner is None] or list(order)
        dropped = [
            (table.day(shift, _without(order, name)) is None, table.case.jobs[name].left_out, name)
            for name in single
        ]
        table.orders[shift] = _without(order, min(dropped)[2])


def _empty_vans(table: Table) -> None:
    for owner in range(len(table.case.stocks)):
        while any(left < 0 for left in table.parts_left(owner)):
            lacking = [place for place, left in enumerate(table.parts_left(owner)) if left < 0]
            users = [
                (table.case.jobs[name].left_out, name, number)
                for number, order in enumerate(table.orders)
                if table.case.shifts[number].owner == owner
                for name in order
                if any(table.case.jobs[name].parts[place] for place in lacking)
            ]
            _, name, number = min(users)
            table.orders[number] = _without(table.orders[number], name)
            _make_possible(table, number)


def _part_pairs(table: Table) -> None:
    """Nobody goes alone to what takes two."""
    placed = {name for order in table.orders for name in order}
    for name in placed:
        partner = table.case.jobs[name].partner
        if partner is not None and partner not in placed:
            table.orders = [_without(order, name) for order in table.orders]
            for shift in range(len(table.orders)):
                _make_possible(table, shift)


def _insert_all(table: Table) -> None:
    for name in table.left():
        partner = table.case.jobs[name].partner
        if partner is None:
            _insert(table, name, table.case.jobs[name].shifts)
        elif name < partner:
            before = list(table.orders)
            if not (
                _insert(table, name, table.case.jobs[name].shifts)
                and _insert(table, partner, table.case.jobs[partner].shifts)
            ):
                table.orders = before


def _insert(table: Table, name: int, shifts: Iterable[int]) -> bool:
    able = [
        (found[0], shift, found[1])
        for shift in sorted(shifts)
        if (found := best_place(table, name, shift)) is not None
    ]
    if not able or min(able)[0] >= table.case.jobs[name].left_out:
        return False
    _, shift, order = min(able)
    table.orders[shift] = order
    return True


def _relocate(table: Table, deadline: Deadline) -> bool:
    """Move single jobs to where they weigh less, once through all; whether any moved."""
    moved = False
    for name, shift in list(_singles(table)):
        if deadline.over():
            break
        order = table.orders[shift]
        rest = _without(order, name)
        slim = table.day(shift, rest)
        if name not in order or slim is None:
            continue
        saved = table.weight(shift) - slim.weight
        table.orders[shift] = rest
        able = [
            (found[0], number, found[1])
            for number in sorted(table.case.jobs[name].shifts)
            if (found := best_place(table, name, number)) is not None
        ]
        if able and min(able)[0] < saved:
            _, number, better = min(able)
            table.orders[number] = better
            moved = True
        else:
            table.orders[shift] = order
    return moved


def _reorder(table: Table, deadline: Deadline) -> bool:
    """Small days in their best order; whether any changed."""
    changed = False
    for shift, order in enumerate(table.orders):
        if deadline.over() or not 2 < len(order) <= SMALL:
            continue
        best, weight = best_order(table.case, shift, order)
        if len(best) == len(order) and weight < table.weight(shift):
            table.orders[shift] = best
            changed = True
    return changed


def _singles(table: Table) -> Iterator[tuple[int, int]]:
    for shift, order in enumerate(table.orders):
        for name in order:
            if table.case.jobs[name].partner is None:
                yield name, shift
