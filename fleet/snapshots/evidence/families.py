"""Lists that hold the nodes together: routers here and sleepers there, or children inside their parents."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.node_lists import NodeList, is_pointed_at, richness
from fleet.snapshots.evidence.node_numbers import short_hints
from fleet.snapshots.evidence.ranking import Hint, Ranked, rank
from fleet.snapshots.evidence.sights import SHORT
from fleet.snapshots.evidence.tables import Table
from fleet.snapshots.guide_facts import NodeFact

_MOST_FAMILIES = 16
_MOST_SHARED = 0.05
_LEAST_ALIKE = 0.5
_LEAST_ALIKE_NESTED = 0.3
_LEAST_COLUMNS = 3
_COVERAGE_WEIGHT = 0.5

_Steps = frozenset[tuple[str | int, ...]]


@dataclass(slots=True, repr=False, eq=False)
class Family:
    """A list of nodes and further ones of the same sort, no two with an address in common, as they stand."""

    main: NodeList
    members: list[NodeList]
    distinct: frozenset[int] = field(init=False)

    def __post_init__(self) -> None:
        self.distinct = frozenset().union(*(found.distinct for found in (self.main, *self.members)))


def ranked_families(lists: Sequence[NodeList], single: frozenset[int]) -> list[Ranked[Family]]:
    """What could hold the nodes, the best first. single: 64-bit values that stand in no list."""
    largest = sorted((found for found in lists if found.distinct), key=lambda found: -len(found.distinct))
    shorts = {id(found): _shorts(found) for found in largest}
    families = [_family(found, largest, shorts) for found in largest[:_MOST_FAMILIES]]
    most = max((len(family.distinct) for family in families), default=0)
    return rank(NodeFact.EXTENDED_ADDRESS, [_hint(family, lists, most, single) for family in families])


def _hint(family: Family, lists: Sequence[NodeList], most: int, single: frozenset[int]) -> Hint[Family]:
    found, count = family.main, len(family.distinct)
    score = _COVERAGE_WEIGHT * count / most + richness(found) + 0.1 * found.order.strength
    score += 0.05 * (not found.table.is_inside) + 0.1 * is_pointed_at(found, family.distinct, lists)
    score += 0.1 * len(found.distinct) / count
    score -= 0.3 * len(found.distinct & single) / len(found.distinct)
    reason = f"{len(found.distinct)} different 64-bit addresses in {found.table.total} rows"
    return Hint(family, min(1.0, score), reason, (*found.table.path_names, *found.column.names))


def _family(main: NodeList, lists: Sequence[NodeList], shorts: dict[int, frozenset[int]]) -> Family:
    members: list[NodeList] = []
    taken, taken_shorts = main.distinct, shorts[id(main)]
    others = [other for other in lists if _may_join(other, main)]
    others.sort(key=lambda other: -likeness(other.table, main.table))
    tables, around = {id(main.table)}, {id(main.table.within)}
    # Lists of one sort have the same columns, so that a list is held against a few sorts and not against each list.
    sorts = {_steps(main.table.columns)}
    for other in others:
        if id(other.table) in tables or len(other.distinct & taken) > _MOST_SHARED * len(other.distinct):
            continue
        is_nested = id(other.table.within) in tables or id(other.table) in around
        steps = _steps(other.table.columns)
        alike = max(_alike(steps, each) for each in sorts)
        own_shorts = shorts[id(other)]
        has_shorts = bool(own_shorts and taken_shorts) and own_shorts.isdisjoint(taken_shorts)
        if alike >= (_LEAST_ALIKE_NESTED if is_nested else _LEAST_ALIKE) or (
            has_shorts and alike >= _LEAST_ALIKE_NESTED
        ):
            members.append(other)
            tables.add(id(other.table))
            around.add(id(other.table.within))
            sorts.add(steps)
            taken, taken_shorts = taken | other.distinct, taken_shorts | own_shorts
    return Family(main, members)


def _may_join(other: NodeList, main: NodeList) -> bool:
    """Addresses in the same notation under the same name."""
    same_name = other.column.steps == main.column.steps and other.column.source is main.column.source
    return other is not main and same_name and other.numbers.reading is main.numbers.reading


def _shorts(found: NodeList) -> frozenset[int]:
    columns = [column for column in found.table.columns if column is not found.column]
    ranked = rank(NodeFact.SHORT_ADDRESS, list(short_hints(columns, len(found.table.sample))))
    numbers = ranked[0].found.column.numbers(SHORT) if ranked and ranked[0].confidence > 0.4 else None
    return frozenset(numbers.by_row.values()) if numbers is not None else frozenset()


def likeness(table: Table, other: Table) -> float:
    """How many names of columns two lists share, 0 to 1."""
    return _alike(_steps(table.columns), _steps(other.columns))


def _alike(mine: _Steps, theirs: _Steps) -> float:
    return len(mine & theirs) / max(_LEAST_COLUMNS, len(mine | theirs))


def _steps(columns: Sequence[Column]) -> _Steps:
    return frozenset(column.steps for column in columns)
