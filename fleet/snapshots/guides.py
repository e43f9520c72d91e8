"""A foreign document and its field guide -> what the snapshot says."""

from collections.abc import Mapping

from fleet.snapshots.counter_places import counter_places
from fleet.snapshots.decoding import JsonValue, Problem, ReadError
from fleet.snapshots.expressions import ExpressionError, compile_expression
from fleet.snapshots.facts import NodeFacts, SecurityMode, SnapshotFacts
from fleet.snapshots.guide_facts import KIND, REQUIRED, Fact, NodeFact, words
from fleet.snapshots.guide_faults import faults, lacking
from fleet.snapshots.guide_files import from_json, to_json
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.guided_nodes import HEAD_SHORT, Nodes, Told, gather
from fleet.snapshots.guided_values import Problems, is_nothing, taken
from fleet.snapshots.readings import Canonical, reader_for

__all__ = [
    "FieldGuide",
    "FieldRule",
    "NodeRule",
    "NodeTable",
    "counter_places",
    "faults",
    "from_json",
    "lacking",
    "read_with",
    "to_json",
]

_UNSET_ADDRESSES = frozenset({"0" * 16, "F" * 16})
_UNSET_KEYS = frozenset({b"\x00" * 16, b"\xff" * 16})
_POINTS_AT = ((NodeFact.PARENT_SHORT, NodeFact.SHORT_ADDRESS), (NodeFact.PARENT_MARK, NodeFact.MARK))
_POINTERS = {NodeFact.PARENT, NodeFact.PARENT_SHORT, NodeFact.PARENT_MARK, NodeFact.MARK}


def read_with(guide: FieldGuide, document: JsonValue) -> SnapshotFacts:
    """A decoded document in the guide's layout -> what it says.

    Values that a document leaves out, or writes as null or empty, stay unknown. A link key of zeros or ones
    is no link key, a parent of zeros or ones no parent. Raises ReadError with a problem for each fact that is
    missing or cannot be read: its place or expression, the value (never of a key), and what would be right.
    """
    wrong = faults(guide)
    if wrong:
        raise ReadError(wrong)
    problems = Problems()
    mesh = _fixed_facts(guide) | _mesh_facts(guide, document, problems)
    nodes = gather(document, guide.tables, problems)
    head = nodes.head() if guide.head_listed else None
    if head is not None:
        mesh.setdefault(Fact.HEAD_ADDRESS, head[NodeFact.EXTENDED_ADDRESS])
    elif guide.head_listed and Fact.HEAD_ADDRESS not in guide.rules:
        problems.add(Problem("nodes", "", "one row with short address 0 or the role head: the head radio"))
    if problems.found:
        raise ReadError(problems.all())
    return SnapshotFacts(
        **{fact.value: value for fact, value in mesh.items()},  # type: ignore[arg-type]
        nodes=tuple(_node(told, nodes, mesh) for told in nodes.told if not _is_head(told, guide, mesh)),
    )


def _fixed_facts(guide: FieldGuide) -> dict[Fact, Canonical]:
    return {
        fact: SecurityMode(str(value)) if fact is Fact.SECURITY_MODE else value
        for fact, value in guide.fixed.items()
    }


def _mesh_facts(guide: FieldGuide, document: JsonValue, problems: Problems) -> dict[Fact, Canonical]:
    mesh: dict[Fact, Canonical] = {}
    for fact, rule in guide.rules.items():
        value = _found(rule, document, problems)
        if is_nothing(value):
            if fact in REQUIRED and fact not in guide.fixed:
                problems.add(
                    Problem(rule.expression, "nothing", f"{words(fact)}, which a snapshot must state")
                )
            continue
        reader = reader_for(KIND[fact], rule.reading, rule.words)
        read = taken(fact, KIND[fact], reader, value, rule.expression, problems)
        if read is not None and read != "":
            mesh[fact] = read
    for fact in lacking(guide):
        problems.add(Problem("$", "", f"a guide that says where the {words(fact)} stands"))
    return mesh


def _found(rule: FieldRule, document: JsonValue, problems: Problems) -> JsonValue:
    try:
        return compile_expression(rule.expression).search(document)
    except ExpressionError as error:
        problems.add(Problem(rule.expression, "", str(error)))
        return None


def _is_head(told: Told, guide: FieldGuide, mesh: Mapping[Fact, Canonical]) -> bool:
    return guide.head_listed and told[NodeFact.EXTENDED_ADDRESS] == mesh[Fact.HEAD_ADDRESS]


def _node(told: Told, nodes: Nodes, mesh: Mapping[Fact, Canonical]) -> NodeFacts:
    left_out = {*_POINTERS, NodeFact.LINK_KEY} if told.get(NodeFact.LINK_KEY) in _UNSET_KEYS else _POINTERS
    return NodeFacts(
        **{fact.value: value for fact, value in told.items() if fact not in left_out},  # type: ignore[arg-type]
        parent=_parent(told, nodes, str(mesh[Fact.HEAD_ADDRESS])),
    )


def _parent(told: Told, nodes: Nodes, head_address: str) -> str | None:
    address = told.get(NodeFact.PARENT)
    if address is not None and address not in _UNSET_ADDRESSES:
        return str(address)
    if told.get(NodeFact.PARENT_SHORT) == HEAD_SHORT:
        return head_address
    for pointer, name in _POINTS_AT:
        parent = nodes.find(name, told[pointer]) if pointer in told else None
        if parent is not None:
            return str(parent[NodeFact.EXTENDED_ADDRESS])
    return None
