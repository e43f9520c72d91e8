from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from fleet.snapshots.decoding import ReadError
from fleet.snapshots.facts import NodeFacts, Role, SecurityMode, SnapshotFacts
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guides import FieldRule, NodeRule, NodeTable, read_with
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Form, Rows, Source
from tests.fleet.snapshots import guided
from tests.fleet.snapshots.guided import HEAD, KEY, ROUTER, SLEEPER


def test_a_guide_reads_a_foreign_document() -> None:
    facts = read_with(guided.guide(), guided.document())

    assert facts == SnapshotFacts(
        head_address=HEAD,
        extended_pan_id="8F3A5501C27BE904",
        pan_id=0x1A2B,
        channel=15,
        network_key=bytes.fromhex(KEY),
        key_sequence=2,
        outgoing_counter=1463130,
        taken_at=datetime(2026, 11, 25, 3, 0, tzinfo=UTC),
        nodes=(
            NodeFacts(ROUTER, 0x1234, Role.ROUTER, HEAD),
            NodeFacts(SLEEPER, 0x5678, Role.END_DEVICE, ROUTER, link_key=bytes.fromhex(KEY[::-1])),
        ),
    )


def test_fixed_values_stand_where_the_document_says_nothing() -> None:
    guide = guided.guide(fixed={Fact.CHANNEL_PAGE: 0, Fact.SECURITY_MODE: "distributed", Fact.UPDATE_ID: 7})

    facts = read_with(guide, guided.document())

    assert (facts.channel_page, facts.security_mode, facts.update_id) == (0, SecurityMode.DISTRIBUTED, 7)


def test_what_the_document_says_goes_before_a_fixed_value() -> None:
    guide = guided.guide(fixed={Fact.KEY_SEQUENCE: 9})

    assert read_with(guide, guided.document()).key_sequence == 2


def listed(rows: list[Any], **rules: NodeRule) -> tuple[NodeTable, ...]:
    found = {NodeFact.EXTENDED_ADDRESS: NodeRule("a", Reading.HEX)}
    return (NodeTable(Rows("rows"), found | {NodeFact(name): rule for name, rule in rules.items()}),)


def addresses(facts: SnapshotFacts) -> list[str]:
    return [node.extended_address for node in facts.nodes]


def test_the_head_among_the_rows_is_known_by_its_short_address_zero() -> None:
    rows = [{"a": ROUTER, "s": 5}, {"a": HEAD, "s": 0}]
    rules = {fact: rule for fact, rule in guided.rules().items() if fact is not Fact.HEAD_ADDRESS}
    guide = guided.guide(
        rules=rules, tables=listed(rows, short_address=NodeRule("s", Reading.NUMBER)), head_listed=True
    )

    facts = read_with(guide, guided.document() | {"rows": rows})

    assert (facts.head_address, addresses(facts)) == (HEAD, [ROUTER])


def test_the_head_among_the_rows_is_known_by_its_role() -> None:
    rows = [{"a": HEAD, "r": "boss"}, {"a": ROUTER, "r": "relay"}]
    role = NodeRule("r", Reading.WORDS, words=(("boss", "head"), ("relay", "router")))
    rules = {fact: rule for fact, rule in guided.rules().items() if fact is not Fact.HEAD_ADDRESS}
    guide = guided.guide(rules=rules, tables=listed(rows, role=role), head_listed=True)

    facts = read_with(guide, guided.document() | {"rows": rows})

    assert (facts.head_address, addresses(facts)) == (HEAD, [ROUTER])


def test_a_head_among_the_nodes_is_kept_where_the_layout_lists_none() -> None:
    rows = [{"a": HEAD}, {"a": ROUTER}]

    facts = read_with(guided.guide(tables=listed(rows)), guided.document() | {"rows": rows})

    assert addresses(facts) == [HEAD, ROUTER]


def test_a_node_twice_in_a_list_stays_twice() -> None:
    rows = [{"a": ROUTER}, {"a": SLEEPER}, {"a": ROUTER}]

    facts = read_with(guided.guide(tables=listed(rows)), guided.document() | {"rows": rows})

    assert addresses(facts) == [ROUTER, SLEEPER, ROUTER]


def test_another_list_tells_more_about_the_nodes() -> None:
    more = NodeTable(
        Rows("more"),
        {
            NodeFact.SHORT_ADDRESS: NodeRule("of", Reading.NUMBER),
            NodeFact.INCOMING_COUNTER: NodeRule("got", Reading.NUMBER),
        },
        adds=False,
    )
    document = guided.document() | {"more": [{"of": 22136, "got": 77}, {"of": 9, "got": 1}]}

    facts = read_with(guided.guide(tables=(more, guided.table())), document)

    assert [node.incoming_counter for node in facts.nodes] == [None, 77]


def test_a_second_list_adds_nodes_and_fills_gaps() -> None:
    rows = [{"a": SLEEPER, "s": 1}, {"a": "02A4C10000000099", "s": 153}]
    document = guided.document() | {"rows": rows}
    del document["nodes"]["02a4c10000000012"]["short"]
    tables = (guided.table(), *listed(rows, short_address=NodeRule("s", Reading.NUMBER)))

    facts = read_with(guided.guide(tables=tables), document)

    assert [node.short_address for node in facts.nodes] == [4660, 1, 153]


def test_nodes_inside_nodes_have_them_as_parents() -> None:
    document = guided.document() | {"tree": [{"a": ROUTER, "kids": [{"a": SLEEPER}]}]}
    top = Rows("tree")
    address = NodeRule("a", Reading.HEX)
    tables = (
        NodeTable(
            top,
            {NodeFact.EXTENDED_ADDRESS: address, NodeFact.PARENT: NodeRule("own", Reading.HEX, Source.TOP)},
        ),
        NodeTable(
            Rows("kids", within=top),
            {NodeFact.EXTENDED_ADDRESS: address, NodeFact.PARENT: NodeRule("a", Reading.HEX, Source.AROUND)},
        ),
    )

    facts = read_with(guided.guide(tables=tables), document)

    assert [node.parent for node in facts.nodes] == [HEAD, ROUTER]


def test_nodes_inside_nodes_are_read_to_any_depth() -> None:
    third, fourth = "02A4C10000000013", "02A4C10000000014"
    document = guided.document() | {
        "tree": [{"a": ROUTER, "kids": [{"a": SLEEPER, "kids": [{"a": third, "kids": [{"a": fourth}]}]}]}]
    }
    top, address = Rows("tree"), NodeRule("a", Reading.HEX)
    tables = (
        NodeTable(top, {NodeFact.EXTENDED_ADDRESS: address}),
        NodeTable(
            Rows("kids", within=top, again=True),
            {NodeFact.EXTENDED_ADDRESS: address, NodeFact.PARENT: NodeRule("a", Reading.HEX, Source.AROUND)},
        ),
    )

    facts = read_with(guided.guide(tables=tables), document)

    assert [node.parent for node in facts.nodes] == [None, ROUTER, SLEEPER, third]


def test_lists_side_by_side_are_rows() -> None:
    document = guided.document() | {"cols": {"a": [ROUTER, SLEEPER], "s": [1, 2], "key": list(range(16))}}
    table = NodeTable(
        Rows("cols.{a: a, s: s}", Form.COLUMNS),
        {
            NodeFact.EXTENDED_ADDRESS: NodeRule("a", Reading.HEX),
            NodeFact.SHORT_ADDRESS: NodeRule("s", Reading.NUMBER),
        },
    )

    facts = read_with(guided.guide(tables=(table,)), document)

    assert [node.short_address for node in facts.nodes] == [1, 2]


def test_parents_may_be_named_by_marks_of_the_documents_own() -> None:
    rows = [{"a": ROUTER, "id": "n1"}, {"a": SLEEPER, "id": "n2", "up": "n1"}]
    rules = {"mark": NodeRule("id", Reading.TEXT), "parent_mark": NodeRule("up", Reading.TEXT)}

    facts = read_with(guided.guide(tables=listed(rows, **rules)), guided.document() | {"rows": rows})

    assert [node.parent for node in facts.nodes] == [None, ROUTER]


@pytest.mark.parametrize("key", ["0" * 32, "F" * 32, None, ""])
def test_an_unset_link_key_is_none(key: str | None) -> None:
    document = guided.document()
    document["nodes"]["02a4c10000000012"]["key"] = key

    assert read_with(guided.guide(), document).nodes[1].link_key is None


@pytest.mark.parametrize("parent", ["0" * 16, "F" * 16, None])
def test_an_unset_parent_is_none(parent: str | None) -> None:
    rows = [{"a": ROUTER, "up": parent}]
    tables = listed(rows, parent=NodeRule("up", Reading.HEX))

    assert read_with(guided.guide(tables=tables), guided.document() | {"rows": rows}).nodes[0].parent is None


def problems(guide: Any, document: Any) -> list[tuple[str, str, str]]:
    with pytest.raises(ReadError) as refused:
        read_with(guide, document)
    return [(problem.path, problem.value, problem.expected) for problem in refused.value.problems]


def test_a_missing_fact_is_named_with_its_expression() -> None:
    document = guided.document()
    del document["net"]["pan"]

    assert problems(guided.guide(), document) == [
        ("net.pan", "nothing", "PAN ID, which a snapshot must state")
    ]


def test_a_value_that_cannot_be_read_is_shown_beside_what_would_be_right() -> None:
    document = guided.document()
    document["nodes"]["02a4c10000000011"]["short"] = 70000

    assert problems(guided.guide(), document) == [
        ('nodes["02a4c10000000011"].short', "70000", "short address: a whole number from 0 to 65535")
    ]


@pytest.mark.parametrize("key", [KEY[:-1], KEY + "00", KEY[:-1] + "x"])
def test_a_key_that_cannot_be_read_is_hidden(key: str) -> None:
    document = guided.document()
    document["safe"][1]["key"] = key

    assert problems(guided.guide(), document) == [
        ("safe[?live] | [0].key", "(hidden)", "network key: 32 hex digits")
    ]


def test_a_row_without_an_address_is_named() -> None:
    rows = [{"a": ROUTER}, {"s": 3}]
    tables = listed(rows, short_address=NodeRule("s", Reading.NUMBER))

    assert problems(guided.guide(tables=tables), guided.document() | {"rows": rows}) == [
        ("rows[1]", "no address", "an extended address in every row")
    ]


def test_nodes_that_are_no_list_are_named() -> None:
    assert problems(guided.guide(), guided.document() | {"nodes": 7}) == [
        ("nodes", "", "an object or a list at nodes, not 7")
    ]


def test_a_missing_list_of_nodes_is_named() -> None:
    document = guided.document()
    del document["nodes"]

    assert problems(guided.guide(), document) == [("nodes", "nothing", "a list or an object at nodes")]


def test_a_list_that_only_tells_more_may_be_missing() -> None:
    more = NodeTable(Rows("more"), {NodeFact.SHORT_ADDRESS: NodeRule("of", Reading.NUMBER)}, adds=False)

    facts = read_with(guided.guide(tables=(guided.table(), more)), guided.document())

    assert len(facts.nodes) == 2


def test_a_guide_without_a_fact_that_must_be_there_says_which() -> None:
    rules = {fact: rule for fact, rule in guided.rules().items() if fact is not Fact.CHANNEL}

    assert problems(guided.guide(rules=rules), guided.document()) == [
        ("$", "", "a guide that says where the channel stands")
    ]


def test_a_head_that_is_nowhere_is_named() -> None:
    rules = {fact: rule for fact, rule in guided.rules().items() if fact is not Fact.HEAD_ADDRESS}

    assert problems(guided.guide(rules=rules, head_listed=True), guided.document()) == [
        ("nodes", "", "one row with short address 0 or the role head: the head radio")
    ]


def test_at_most_a_hundred_problems_are_told() -> None:
    rows = [{"a": f"wrong {number}"} for number in range(300)]

    found = problems(guided.guide(tables=listed(rows)), guided.document() | {"rows": rows})

    assert (len(found), found[-1][2]) == (
        101,
        "the 100 values above to be right; more are wrong after them",
    )


def test_an_expression_that_does_not_fit_the_document_is_a_problem_not_a_traceback() -> None:
    guide = guided.guide(rules=guided.rules(pan_id=FieldRule("keys(net.pan)[0]", Reading.HEX)))

    assert problems(guide, guided.document())[0] == (
        "keys(net.pan)[0]",
        "",
        "expression keys(net.pan)[0] to fit what stands here",
    )


def test_a_faulty_guide_reads_nothing() -> None:
    guide = guided.guide(rules=guided.rules(pan_id=FieldRule("net.", Reading.HEX)))

    assert problems(guide, guided.document()) == [("mesh.pan_id.expression", "", "an expression in JMESPath")]


def test_no_key_is_in_the_repr_of_what_was_read() -> None:
    text = repr(read_with(guided.guide(), guided.document()))

    assert KEY not in text.lower()
    assert str(list(bytes.fromhex(KEY)))[1:-1] not in text


def test_a_guide_is_the_same_whatever_order_its_lists_have() -> None:
    more = NodeTable(
        Rows("more"),
        {
            NodeFact.SHORT_ADDRESS: NodeRule("of", Reading.NUMBER),
            NodeFact.LABEL: NodeRule("name", Reading.TEXT),
        },
        adds=False,
    )
    document = guided.document() | {"more": [{"of": 4660, "name": "plug"}]}
    guide = guided.guide(tables=(more, guided.table()))

    assert read_with(guide, document) == read_with(replace(guide, tables=guide.tables[::-1]), document)
