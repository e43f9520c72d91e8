import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.canonical import CanonicalError, canonical, lines

JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)


@given(JSON_VALUES)
def test_what_is_written_reads_back_as_the_same(value):
    assert json.loads(canonical(value), parse_int=float) == value


@given(st.dictionaries(st.text(), st.integers(0, 9)))
def test_the_order_of_entry_does_not_matter(members):
    turned = dict(reversed(list(members.items())))
    assert canonical(members) == canonical(turned)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_written_as_short_as_it_reads_back(value):
    written = canonical(value).decode()
    assert float(written) == value
    assert len(written) <= len(repr(value)) + 21  # plain up to 21 digits, as ECMAScript has it


def test_a_tuple_is_a_list():
    assert canonical((1, "a", None, True)) == b'[1,"a",null,true]'


def test_each_line_ends_with_a_line_feed():
    assert lines([{"b": 1, "a": 2}, {}]) == b'{"a":2,"b":1}\n{}\n'


@pytest.mark.parametrize("value", [math.nan, math.inf, 2**53, {1: "a"}, b"octets", {"a": object()}, "\ud800"])
def test_what_has_no_canonical_form_is_refused(value):
    with pytest.raises(CanonicalError):
        canonical(value)
