from typing import Any

import pytest

from fleet.snapshots.decoding import ReadError
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.guides import FieldRule, NodeRule, NodeTable, counter_places
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Form, Rows, Source
from tests.fleet.snapshots import guided


def places(expression: str, document: Any, *copies: str) -> tuple[Any, ...]:
    rule = FieldRule(expression, Reading.NUMBER)
    guide = guided.guide(
        rules=guided.rules(outgoing_counter=rule),
        counter_copies=tuple(FieldRule(copy, Reading.NUMBER) for copy in copies),
    )
    return tuple(place.path for place in counter_places(guide, document).network)


@pytest.mark.parametrize(
    ("expression", "document", "path"),
    [
        ("a.b", {"a": {"b": 5}}, ("a", "b")),
        ("a[1]", {"a": [5, 5]}, ("a", 1)),
        ("a[-1]", {"a": [5, 5]}, ("a", 1)),
        ("a[?on] | [0].n", {"a": [{"on": False, "n": 5}, {"on": True, "n": 5}]}, ("a", 1, "n")),
        ("a[?k=='x'] | [0].n", {"a": [{"k": "y", "n": "5"}, {"k": "x", "n": "5"}]}, ("a", 1, "n")),
        ("a[?n==`5`] | [0].n", {"a": [{"n": 4}, {"n": 5}]}, ("a", 1, "n")),
        ("a[?k=='5'] | [0].n", {"a": [{"k": "4", "n": "5"}, {"k": "5", "n": "5"}]}, ("a", 1, "n")),
        ("a.c || a.b", {"a": {"b": 5}}, ("a", "b")),
        ("values(a) | [1].n", {"a": {"x": {"n": 0}, "y": {"n": 0}}}, ("a", "y", "n")),
        ("a.octets", {"a": {"octets": [0, 0, 1, 2]}, "b": [0, 0, 1, 2]}, ("a", "octets")),
        ("a", {"a": 5.0, "b": 5}, ("a",)),
        ("max([a, b])", {"a": 4, "b": 5}, ("b",)),
        ("@", 5, ()),
    ],
)
def test_the_counters_place_is_found_even_where_equal_values_stand_elsewhere(
    expression: str, document: Any, path: tuple[Any, ...]
) -> None:
    assert places(expression, document) == (path,)


def test_copies_of_the_counter_come_after_it() -> None:
    assert places("a", {"a": 5, "b": [5], "c": 5}, "b[0]", "gone") == (("a",), ("b", 0))


def test_a_place_named_twice_counts_once() -> None:
    assert places("a", {"a": 5}, "a", "[a][0]") == (("a",),)


@pytest.mark.parametrize(
    "expression", ["length(a)", "to_number(a)", "join('', [a])", "[a, a, a, a]", "keys(@)[0]"]
)
def test_a_counter_that_is_worked_out_is_refused(expression: str) -> None:
    with pytest.raises(ReadError, match="no number can be put into one worked out"):
        places(expression, {"a": "5"})


def test_a_copy_that_is_worked_out_is_refused_too() -> None:
    with pytest.raises(ReadError, match="to_number"):
        places("a", {"a": 5, "b": "5"}, "to_number(b)")


@pytest.mark.parametrize("document", [{}, {"a": None}, {"a": ""}])
def test_a_counter_that_stands_nowhere_is_refused(document: Any) -> None:
    with pytest.raises(ReadError, match="a: nothing found, expected the outgoing counter"):
        places("a", document)


def link_places(rows: Rows, document: Any, rule: NodeRule) -> tuple[Any, ...]:
    table = NodeTable(rows, {NodeFact.OUTGOING_COUNTER: rule}, adds=False)
    guide = guided.guide(
        rules=guided.rules(outgoing_counter=FieldRule("sent", Reading.NUMBER)), tables=(table,)
    )
    return tuple(place.path for place in counter_places(guide, {"sent": 5, **document}).links)


@pytest.mark.parametrize(
    ("rows", "document", "paths"),
    [
        (Rows("a"), {"a": [{"n": 5}, {"n": None}, {"m": 5}, {"n": 5}]}, [("a", 0, "n"), ("a", 3, "n")]),
        (Rows("a", Form.KEYED), {"a": {"x": {"n": 5}}}, [("a", "x", "n")]),
        (Rows("a", Form.COLUMNS), {"a": {"m": [1, 2], "n": [5, 6]}}, [("a", "n", 0), ("a", "n", 1)]),
        (
            Rows("k", within=Rows("a"), again=True),
            {"a": [{"k": [{"n": 5, "k": [{"n": 5}]}]}]},
            [("a", 0, "k", 0, "n"), ("a", 0, "k", 0, "k", 0, "n")],
        ),
        (Rows("gone"), {}, []),
    ],
    ids=["list", "keyed", "columns", "nested", "missing"],
)
def test_counters_of_link_keys_are_found_in_every_form(rows: Rows, document: Any, paths: list[Any]) -> None:
    assert link_places(rows, document, NodeRule("n", Reading.NUMBER)) == tuple(paths)


def test_one_counter_for_all_rows_is_one_place() -> None:
    found = link_places(Rows("a"), {"a": [{}, {}], "n": 7}, NodeRule("n", Reading.NUMBER, Source.TOP))
    assert found == (("n",),)


def test_the_network_counter_is_no_counter_of_a_link_key() -> None:
    assert link_places(Rows("a"), {"a": [{}]}, NodeRule("sent", Reading.NUMBER, Source.TOP)) == ()


def test_a_counter_that_is_a_name_is_refused() -> None:
    with pytest.raises(ReadError, match="no number can be put"):
        link_places(Rows("a", Form.KEYED), {"a": {"5": {}}}, NodeRule("@", Reading.NUMBER, Source.NAME))


def test_a_guide_without_a_counter_is_refused() -> None:
    with pytest.raises(ReadError, match="a guide that says where the outgoing counter stands"):
        counter_places(guided.guide(rules={}), {"a": 5})
