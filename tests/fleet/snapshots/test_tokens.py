"""JSON tokens keep the form of those that stood there."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.tokens import number_like, text_like


@pytest.mark.parametrize(
    ("like", "number", "written"),
    [
        (b"5", 1000, b"1000"),
        (b"0", 1000, b"1000"),
        (b"1463120.0", 17080656, b"17080656.0"),
        (b"1463120.000", 17080656, b"17080656.000"),
        (b"1.46312e6", 17080656, b"17.080656e6"),
        (b"1.46312E+06", 17080656, b"17.080656E+06"),
        (b"1463120e0", 17080656, b"17080656e0"),
        (b"14631200e-1", 17080656, b"170806560e-1"),
        (b"1e6", 17000000, b"17e6"),
        (b"1.50e6", 17000000, b"17.00e6"),
        (b"0e99999", 1000, b"1000.0"),
        (b"-5.0", -7, b"-7.0"),
        (b"-5", 7, b"7"),
    ],
)
def test_a_number_keeps_its_fraction_and_power(like: bytes, number: int, written: bytes) -> None:
    assert number_like(number, like) == written


FORMS = st.one_of(
    st.integers(0, 2**32).map(str),
    st.floats(0, 2**52, allow_nan=False).map(repr),
    st.tuples(st.integers(0, 9999), st.text("0123456789", min_size=1, max_size=8), st.integers(-30, 30)).map(
        lambda form: f"{form[0]}.{form[1]}e{form[2]:+03}"
    ),
)


@given(st.integers(0, 2**32 - 2), FORMS)
def test_no_digit_of_a_number_is_lost(number: int, like: str) -> None:
    written = json.loads(number_like(number, like.encode()))

    assert written == number
    assert isinstance(written, type(json.loads(like)))


@pytest.mark.parametrize(
    ("like", "text", "written"),
    [
        (b'"005"', "1000", b'"1000"'),
        (b'"1\\u202f463"', "17\u202f080", b'"17\\u202f080"'),
        ('"1\u202f463"'.encode(), "17\u202f080", '"17\u202f080"'.encode()),
        (b'"\\t5"', "\t1000", b'"\\t1000"'),
        (b'"AA\\/="', "a/b", b'"a\\/b"'),
        (b'"\\u0035"', "5", b'"5"'),
    ],
)
def test_a_text_keeps_its_escapes(like: bytes, text: str, written: bytes) -> None:
    assert text_like(text, like) == written


def test_a_zero_with_a_vast_power_stays_a_float() -> None:
    assert math.isclose(json.loads(number_like(7, b"0.0e-400")), 7.0)
