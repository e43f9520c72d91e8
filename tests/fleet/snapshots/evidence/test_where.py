from typing import Any

import pytest

from fleet.snapshots.evidence.where import expression_at, is_in_row, names_at
from fleet.snapshots.expressions import compile_expression

DOCUMENT: Any = {
    "parts": [{"kind": "air", "ch": 15}, {"kind": "net", "ch": 16}],
    "keys": [{"no": 1, "live": False, "k": "x"}, {"no": 2, "live": True, "k": "y"}],
    "bag": [{"name": "channel", "value": "20"}, {"name": "pan", "value": "7"}],
    "plain": [{"n": 1}, {"n": 2}],
    "one": [{"n": 3}],
    "odd": [{"kind": "it's", "n": 4}, {"kind": "b", "n": 5}],
}


@pytest.mark.parametrize(
    ("path", "expression"),
    [
        (("parts", 1, "ch"), "parts[?kind=='net'] | [0].ch"),
        (("keys", 1, "k"), "keys[?live] | [0].k"),
        (("keys", 0, "k"), "keys[0].k"),
        (("bag", 0, "value"), "bag[?name=='channel'] | [0].value"),
        (("plain", 1, "n"), "plain[1].n"),
        (("one", 0, "n"), "one[0].n"),
        (("odd", 0, "n"), "odd[0].n"),
        ((), "@"),
    ],
)
def test_an_item_is_named_by_what_only_it_has(path: tuple[Any, ...], expression: str) -> None:
    value = DOCUMENT
    for step in path:
        value = value[step]

    assert expression_at(DOCUMENT, path) == expression
    assert compile_expression(expression).search(DOCUMENT) == value


def test_a_path_too_long_for_an_expression_has_none() -> None:
    assert expression_at({"a" * 400: 1}, ("a" * 400,)) is None


def test_a_value_beside_its_name_is_called_by_that() -> None:
    assert names_at(DOCUMENT, ("bag", 0, "value")) == ("bag", "value", "channel")


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (("plain", 1, "n"), True),
        (("parts", 1, "ch"), False),
        (("one", 0, "n"), False),
        (("keys", 1, "k"), False),
    ],
)
def test_a_place_is_in_a_row_where_only_a_number_tells_it_apart(
    path: tuple[Any, ...], expected: bool
) -> None:
    assert is_in_row(DOCUMENT, path) is expected
