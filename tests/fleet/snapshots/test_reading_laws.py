"""What holds for every reading and every value."""

from contextlib import suppress
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.facts import LinkKeyKind, Power, Role, SecurityMode
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.readings import Reading, ReadingError, fitting, reader_for

ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**63), 2**64 - 1) | st.floats() | st.text(max_size=40),
    lambda inner: st.lists(inner, max_size=17) | st.dictionaries(st.text(max_size=4), inner, max_size=17),
    max_leaves=20,
)
WORDS = {
    Kind.ROLE: tuple((role.value, role.value) for role in Role),
    Kind.POWER: tuple((power.value, power.value) for power in Power),
    Kind.LINK_KEY_KIND: tuple((kind.value, kind.value) for kind in LinkKeyKind),
    Kind.SECURITY_MODE: tuple((mode.value, mode.value) for mode in SecurityMode),
}
OURS = {
    Kind.ADDRESS: st.integers(0, 2**64 - 1).map(lambda number: f"{number:016X}"),
    Kind.KEY: st.binary(min_size=16, max_size=16),
    Kind.SHORT: st.integers(0, 0xFFFF),
    Kind.COUNTER: st.integers(0, 2**32 - 1),
    Kind.OCTET: st.integers(0, 255),
    Kind.CHANNEL: st.integers(11, 26),
    Kind.MASK: st.integers(0, 2**32 - 1),
    Kind.WHOLE: st.integers(-(2**31), 2**31 - 1),
    Kind.TIME: st.integers(1_325_376_000, 4_102_444_800).map(
        lambda second: datetime.fromtimestamp(second, UTC)
    ),
    Kind.TRUTH: st.booleans(),
    Kind.TEXT: st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=20),
    Kind.ROLE: st.sampled_from(Role),
    Kind.POWER: st.sampled_from(Power),
    Kind.LINK_KEY_KIND: st.sampled_from(LinkKeyKind),
    Kind.SECURITY_MODE: st.sampled_from(SecurityMode),
}
EVERY = [(kind, reading) for kind in Kind for reading in fitting(kind)]
LIKES = (
    None,
    "0x00aa",
    "AABB",
    "aa:bb:cc",
    5,
    5.0,
    [1, 2],
    ["0xAA"],
    "AAAA==",
    "2020-01-01T00:00:00+02:00",
    "No",
)


@pytest.mark.parametrize(("kind", "reading"), EVERY)
@given(value=ANY_JSON)
def test_no_value_makes_anything_but_a_reading_or_a_refusal(kind: Kind, reading: Reading, value: Any) -> None:
    reader = reader_for(kind, reading, WORDS.get(kind, ()))

    with suppress(ReadingError):
        assert reader.read(value) is not None


@pytest.mark.parametrize(("kind", "reading"), EVERY)
@given(data=st.data())
def test_what_was_written_reads_the_same(kind: Kind, reading: Reading, data: st.DataObject) -> None:
    reader = reader_for(kind, reading, WORDS.get(kind, ()))
    ours = data.draw(OURS[kind])

    written = reader.write(ours, data.draw(st.sampled_from(LIKES)))

    assert reader.read(reader.write(ours, written)) == reader.read(written) == ours
