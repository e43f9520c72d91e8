"""Numbers told by their steps: exact in every notation, or not at all."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.number_steps import Steps, StepsError, follow_steps, steps_between


@pytest.mark.parametrize(
    ("base", "body"),
    [
        pytest.param(b'{"a":1}', b'{"a":1}', id="nothing changed"),
        pytest.param(b'{"a":7,"b":9}', b'{"a":8,"b":9}', id="one step"),
        pytest.param(b'{"a":999}', b'{"a":1000}', id="a digit more"),
        pytest.param(b'{"a":"0099"}', b'{"a":"0101"}', id="leading zeros"),
        pytest.param(b'{"a":500}', b'{"a":100}', id="a step back"),
        pytest.param(b'{"a":999999999999999999}', b'{"a":0}' + b"", id="far back, fewer digits"),
        pytest.param(
            b'{"at":"2026-12-31T23:59:59Z"}', b'{"at":"2027-01-01T00:00:00Z"}', id="over the end of a year"
        ),
        pytest.param(b'{"at":"2028-02-28T12:00:00Z"}', b'{"at":"2028-02-29T12:00:00Z"}', id="a leap day"),
        pytest.param(b"[1,2,3,4]", b"[9,8,7,6]", id="all numbers of a list"),
        pytest.param(b"no numbers", b"no numbers", id="no numbers"),
    ],
)
def test_steps_lead_to_the_very_octets_or_are_not_given(base: bytes, body: bytes):
    steps = steps_between(base, body)
    assert steps is None or follow_steps(base, steps) == body


@pytest.mark.parametrize(
    ("base", "body"),
    [
        pytest.param(b'{"a":1}', b'{"b":1}', id="another name"),
        pytest.param(b'{"a":1}', b'{"a":1,"b":2}', id="a field more"),
        pytest.param(b'{"a":100}', b'{"a":99}', id="a digit fewer"),
        pytest.param(b'{"at":"2026-02-28T00:00:00Z"}', b'{"at":"2026-02-30T00:00:00Z"}', id="no such day"),
        pytest.param(b'{"a":1234567890123456789}', b'{"a":1234567890123456780}', id="no counter"),
    ],
)
def test_what_steps_cannot_tell_gives_none(base: bytes, body: bytes):
    assert steps_between(base, body) is None


def test_a_common_step_is_told_once():
    base = ",".join(f'"n":{n}' for n in range(1000, 1100)).encode()
    body = ",".join(f'"n":{n + 86400}' for n in range(1000, 1100)).encode()
    steps = steps_between(base, body)
    assert steps is not None
    # One column; its gap 0; its step 86,400 in three octets; then no difference for each of 100 numbers.
    assert steps == Steps(b"\x01\x00\x80\xc6\x0a" + bytes(100), b"")


NUMBERS = st.lists(st.integers(0, 10**9), min_size=1, max_size=20)


@given(NUMBERS, st.data())
def test_rising_numbers_are_always_told_exactly(numbers: list[int], data: st.DataObject):
    rises = data.draw(st.lists(st.integers(0, 10**6), min_size=len(numbers), max_size=len(numbers)))
    base = ",".join(f'"n":{number}' for number in numbers).encode()
    body = ",".join(f'"n":{number + rise}' for number, rise in zip(numbers, rises, strict=True)).encode()
    steps = steps_between(base, body)
    assert steps is not None
    assert follow_steps(base, steps) == body


@given(st.binary(max_size=60), st.binary(max_size=20))
def test_foreign_steps_raise_nothing_but_a_steps_error(told: bytes, bits: bytes):
    with suppress(StepsError):
        follow_steps(b'{"a":1,"at":"2026-11-25T03:00:00Z"}', Steps(told, bits))
