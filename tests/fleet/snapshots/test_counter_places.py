from typing import Any

import pytest

from fleet.snapshots.decoding import ReadError
from fleet.snapshots.guides import FieldRule, counter_places
from fleet.snapshots.readings import Reading
from tests.fleet.snapshots import guided


def places(expression: str, document: Any, *copies: str) -> tuple[Any, ...]:
    rule = FieldRule(expression, Reading.NUMBER)
    guide = guided.guide(
        rules=guided.rules(outgoing_counter=rule),
        counter_copies=tuple(FieldRule(copy, Reading.NUMBER) for copy in copies),
    )
    return counter_places(guide, document)


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


@pytest.mark.parametrize("expression", ["gone", "length(a)", "to_number(a)", "join('', [a])"])
def test_a_counter_that_stands_nowhere_is_refused(expression: str) -> None:
    with pytest.raises(ReadError):
        places(expression, {"a": "5"})


def test_a_guide_without_a_counter_is_refused() -> None:
    with pytest.raises(ReadError, match="a guide that says where the outgoing counter stands"):
        counter_places(guided.guide(rules={}), {"a": 5})
