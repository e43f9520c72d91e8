"""A field guide proposed for an unknown document, by the shape of its values and not by their names.

Which list has a 64-bit address in each row; which 128 bits look like keys; what is drawn from the list's own
addresses; what lies near what. Names only decide between values that fit equally well, and then the reason
says so. Nothing is taken silently: each proposed fact carries its confidence, its reason and what else fits.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from fleet.mesh.addresses import show_eui64
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.companions import Companion
from fleet.snapshots.evidence.identity import choose_identity
from fleet.snapshots.evidence.mesh_facts import choose_mesh_facts
from fleet.snapshots.evidence.network_key import counter_copies
from fleet.snapshots.evidence.node_facts import NodeFacts
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.nodes import ListOfNodes, Nodes, find_nodes
from fleet.snapshots.evidence.parents import HeadPlace
from fleet.snapshots.evidence.population import Population, latest_heard, look_at_nodes, settle_nodes
from fleet.snapshots.evidence.ranking import Ranked
from fleet.snapshots.evidence.samples import sample
from fleet.snapshots.evidence.scene import Scene, make_scene
from fleet.snapshots.evidence.survey import survey
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guide_facts import KIND, NODE_KIND, REQUIRED, Fact, NodeFact, words
from fleet.snapshots.proposal import Candidate, Missing, Proposal, ProposedFact, ProposedList

__all__ = ["propose"]

_HEAD_ROW_CONFIDENCE = 0.85
_COMPANION_CONFIDENCE = 0.8
_WANTED = (*REQUIRED, Fact.TAKEN_AT, Fact.CHANNEL_MASK, Fact.UPDATE_ID)
_WANTED_OF_NODES = (NodeFact.SHORT_ADDRESS, NodeFact.PARENT, NodeFact.LINK_KEY, NodeFact.ROLE)
_SAME = {NodeFact.PARENT: (NodeFact.PARENT, NodeFact.PARENT_SHORT, NodeFact.PARENT_MARK)}


def propose(document: JsonValue) -> Proposal:
    """A decoded document of any layout -> what a guide for it could be.

    Never fails: a document without a list of nodes gives a proposal that says so. Work is bounded whatever the
    size; left_out tells where not everything was looked at.
    """
    seen = survey(document)
    nodes = find_nodes(seen)
    scene = make_scene(seen, nodes)
    population = None if nodes is None else look_at_nodes(document, nodes)
    head = choose_identity(
        scene, population.votes if population else {}, population.head_row if population else None
    )
    if population is not None:
        settle_nodes(population, head, _head_place(scene, head), seen.tables)
        scene.leave_out([companion.table for companion in population.companions])
    choose_mesh_facts(scene, latest_heard(nodes) if nodes is not None else None)
    facts = _mesh_facts(scene, population)
    lists = () if population is None else tuple(_lists(population))
    return Proposal(
        fingerprint=layout_fingerprint(document),
        facts=facts,
        lists=lists,
        other_lists=() if nodes is None else tuple(_other_lists(nodes)),
        missing=tuple(_missing(facts, lists)),
        head_listed=nodes is not None and head in nodes.right,
        copies=tuple(rule for copy in counter_copies(scene) if (rule := scene.rule(copy)) is not None),
        left_out=seen.left_out,
    )


def _head_place(scene: Scene, head: int | None) -> HeadPlace | None:
    ranked = scene.chosen.get(Fact.HEAD_ADDRESS)
    rule = scene.rule(ranked[0].found) if ranked else None
    if not ranked or rule is None or head is None:
        return None
    place = ranked[0].found.place
    return HeadPlace(place.path, rule.expression, rule.reading, place.value, head)


def _mesh_facts(scene: Scene, population: Population | None) -> tuple[ProposedFact, ...]:
    proposed = []
    for fact, ranked in scene.chosen.items():
        candidates = []
        for each in ranked:
            rule = scene.rule(each.found)
            if rule is not None:
                shown = sample(KIND[fact], rule.reading, rule.words, each.found.place.value)
                candidates.append(
                    Candidate(rule, shown, round(each.confidence, 2), each.reason, each.by_name)
                )
        if candidates:
            proposed.append(ProposedFact(fact.value, fact, tuple(candidates)))
    if (
        Fact.HEAD_ADDRESS not in scene.chosen
        and population is not None
        and population.head_row is not None
        and population.head_row.is_plain
    ):
        proposed.insert(0, _head_from_row(population.head_row.address))
    return tuple(proposed)


def _head_from_row(address: int) -> ProposedFact:
    reason = "one row of the nodes has the short address 0 or the role of the head"
    candidate = Candidate(None, show_eui64(f"{address:016X}"), _HEAD_ROW_CONFIDENCE, reason)
    return ProposedFact("head_address", Fact.HEAD_ADDRESS, (candidate,))


def _lists(population: Population) -> Iterator[ProposedList]:
    lists = _outermost(population.nodes)
    for number, (found, count) in enumerate(lists):
        place = f"nodes[{number}]"
        address = [
            Ranked(Found(found.nodes.column, found.nodes.reading), found.confidence, _order_reason(found))
        ]
        facts = _node_facts(place, {NodeFact.EXTENDED_ADDRESS: address} | found.choosing.chosen)
        table = found.nodes.table
        rows = replace(table.rows, again=table.within in population.nodes.tables)
        yield ProposedList(place, rows, True, count, round(found.confidence, 2), found.reason, facts)
    for number, companion in enumerate(population.companions, len(lists)):
        place = f"nodes[{number}]"
        facts = _node_facts(place, _companion_facts(companion))
        table = companion.table
        yield ProposedList(
            place, table.rows, False, table.total, _COMPANION_CONFIDENCE, companion.reason, facts
        )


def _outermost(nodes: Nodes) -> list[tuple[ListOfNodes, int]]:
    """Of lists that stand inside each other in the same way only the outermost, with the rows of all of them."""
    by_table = {id(found.nodes.table): found for found in nodes.lists}
    rows: Counter[int] = Counter()
    for found in nodes.lists:
        table = found.nodes.table
        while (
            table.within is not None
            and table.within.inner_steps == table.inner_steps
            and table.within.rows.form is table.rows.form
            and id(table.within) in by_table
        ):
            table = table.within
        rows[id(table)] += found.nodes.count
    return [(by_table[table], count) for table, count in rows.items()]


def _companion_facts(companion: Companion) -> NodeFacts:
    name: NodeFacts = {companion.name: [Ranked(companion.found, _COMPANION_CONFIDENCE, companion.reason)]}
    return name | companion.facts


def _order_reason(found: ListOfNodes) -> str:
    return f"{found.reason}; {found.nodes.order.why}"


def _node_facts(place: str, chosen: NodeFacts) -> tuple[ProposedFact, ...]:
    return tuple(
        ProposedFact(f"{place}.{fact}", fact, tuple(_node_candidate(fact, ranked) for ranked in candidates))
        for fact, candidates in chosen.items()
    )


def _node_candidate(fact: NodeFact, ranked: Ranked[Found]) -> Candidate:
    rule = ranked.found.rule
    value = next(iter(ranked.found.column.values.values()), None)
    shown = sample(NODE_KIND[fact], rule.reading, rule.words, value)
    return Candidate(rule, shown, round(ranked.confidence, 2), ranked.reason, ranked.by_name)


def _other_lists(nodes: Nodes) -> Iterator[str]:
    for other in nodes.alternatives:
        if not nodes.holds(other.table):
            yield f"{other.table.rows.items}: {len(other.distinct)} different 64-bit addresses"


def _missing(facts: tuple[ProposedFact, ...], lists: tuple[ProposedList, ...]) -> Iterator[Missing]:
    found = {fact.fact for fact in facts if fact.is_taken}
    for fact in _WANTED:
        if fact not in found:
            yield Missing(fact, fact in REQUIRED, f"no value that fits the {words(fact)} was found")
    if not lists:
        yield Missing(NodeFact.EXTENDED_ADDRESS, True, "no list has a different 64-bit address in each row")
        return
    told = {fact.fact for proposed in lists for fact in proposed.facts if fact.is_taken}
    for node_fact in _WANTED_OF_NODES:
        if told.isdisjoint(_SAME.get(node_fact, (node_fact,))):
            yield Missing(node_fact, False, f"no column that fits the {words(node_fact)} of nodes was found")
