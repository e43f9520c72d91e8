"""Packed documents come back octet for octet, are small, and cannot blow up."""

import json
import random
from contextlib import suppress
from typing import Any

import pytest
import zstandard
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.snapshots.packing import PackError, needs_base, pack, unpack
from fleet.snapshots.sealing import OVERHEAD_OCTETS
from tests.fleet.snapshots import making

FIRST = making.document(seed=1, nodes=60)
BASE = making.octets(FIRST)
DAY_AFTER = making.octets(making.next_day(FIRST, 1))
PACKED = pack(DAY_AFTER, BASE)


def days(count: int, share_heard: float, document: dict[str, Any] = FIRST) -> list[bytes]:
    """Documents of the days after the first one."""
    bodies = []
    for day in range(count):
        document = making.next_day(document, day, share_heard)
        bodies.append(making.octets(document))
    return bodies


@pytest.mark.parametrize(
    "body",
    [
        pytest.param(b"", id="nothing"),
        pytest.param(b"{}", id="a little"),
        pytest.param(BASE, id="the base itself"),
        pytest.param(BASE[:-1], id="cut off"),
        pytest.param(json.dumps(FIRST, indent=4).encode(), id="other blanks"),
        pytest.param(random.Random(1).randbytes(5000), id="noise"),
        pytest.param(making.octets(making.document(seed=2, nodes=60)), id="another mesh"),
        pytest.param(making.octets(making.next_day(FIRST, 1)), id="the day after"),
    ],
)
@pytest.mark.parametrize("base", [None, BASE], ids=["whole", "against a base"])
def test_what_is_packed_comes_back(body: bytes, base: bytes | None):
    assert unpack(pack(body, base), base) == body


def test_a_year_of_dailies_comes_back_octet_for_octet():
    bodies = days(365, 0.3, making.document(seed=3, nodes=10))
    assert [unpack(pack(body, bodies[0]), bodies[0]) for body in bodies] == bodies


@given(st.binary(max_size=400), st.binary(max_size=400))
@settings(deadline=None)
def test_any_octets_come_back_against_any_base(body: bytes, base: bytes):
    assert unpack(pack(body, base), base) == body


@pytest.mark.parametrize("share_heard", [0.1, 0.3, 0.6, 1.0])
def test_a_daily_of_a_quiet_60_node_mesh_takes_at_most_380_octets_sealed(share_heard: float):
    week = days(7, share_heard)
    sizes = [len(pack(body, BASE)) + OVERHEAD_OCTETS for body in week]
    assert sum(sizes) / len(sizes) <= 380


def test_a_whole_document_needs_no_base():
    packed = pack(BASE)
    assert not needs_base(packed)
    assert unpack(packed) == BASE


def test_a_document_against_a_base_needs_it():
    packed = pack(making.octets(making.next_day(FIRST, 1)), BASE)
    assert needs_base(packed)
    with pytest.raises(PackError, match="not given"):
        unpack(packed)


@pytest.mark.parametrize("body", [making.octets(making.next_day(FIRST, 1)), BASE[:9000] + b"?" + BASE[9000:]])
def test_another_base_is_noticed(body: bytes):
    packed = pack(body, BASE)
    other = making.octets(making.next_day(FIRST, 2))
    with pytest.raises(PackError, match="not its base"):
        unpack(packed, other)


def test_a_document_above_the_limit_is_not_unpacked():
    bomb = pack(b"0" * 4_000_000)
    assert len(bomb) < 500
    with pytest.raises(PackError, match="4000000 octets"):
        unpack(bomb, max_size=3_999_999)


def test_a_document_against_a_base_is_held_to_the_limit_too():
    packed = pack(b"0" * 4_000_000, b"0000")
    with pytest.raises(PackError, match="0 to 1000000"):
        unpack(packed, b"0000", max_size=1_000_000)


def test_a_frame_that_hides_its_size_is_refused():
    frame = zstandard.ZstdCompressor(write_content_size=False).compress(b"0" * 100)
    with pytest.raises(PackError):
        unpack(b"\x01" + frame)


@pytest.mark.parametrize("packed", [b"", b"\x00", b"\x04abc", b"\x01", b"\x01abc", b"\x02", b"\x03abc"])
def test_what_was_never_packed_is_refused(packed: bytes):
    with pytest.raises(PackError):
        unpack(packed, BASE)


@given(st.integers(0, 10_000), st.integers(1, 255))
@settings(deadline=None)
def test_damage_gives_a_pack_error_or_the_document(place: int, change: int):
    packed = bytearray(PACKED)
    packed[place % len(packed)] ^= change
    with suppress(PackError):
        assert unpack(bytes(packed), BASE) == DAY_AFTER
