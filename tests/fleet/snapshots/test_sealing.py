"""Sealed documents open in their place with their key, and nowhere else."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.sealing import (
    OVERHEAD_OCTETS,
    SealError,
    associated_data,
    new_data_key,
    open_sealed,
    seal,
    unwrap,
    wrap,
)

DATA_KEY = bytes(range(1, 33))
OTHER_KEY = bytes(range(2, 34))
KEK = bytes(range(100, 132))
NONCE = b"nonce of 12."
PLAIN = b'{"networkKey":"..."}'
PLACE = associated_data("snapshot", "client 1", "mesh 1", 7)
SEALED = seal(DATA_KEY, PLAIN, PLACE, NONCE)


def test_what_is_sealed_opens():
    assert open_sealed(DATA_KEY, SEALED, PLACE) == PLAIN


def test_sealing_adds_29_octets():
    assert len(SEALED) - len(PLAIN) == OVERHEAD_OCTETS == 29


def test_the_plain_text_does_not_show():
    assert b"networkKey" not in SEALED


def test_the_nonce_is_the_callers():
    assert SEALED[1:13] == NONCE


def test_one_flipped_bit_anywhere_is_noticed():
    for place in range(len(SEALED) * 8):
        damaged = bytearray(SEALED)
        damaged[place // 8] ^= 1 << place % 8
        with pytest.raises(SealError):
            open_sealed(DATA_KEY, bytes(damaged), PLACE)


@pytest.mark.parametrize("octets", [0, 1, 13, 28, 29, len(SEALED) - 1])
def test_a_cut_off_document_is_noticed(octets: int):
    with pytest.raises(SealError):
        open_sealed(DATA_KEY, SEALED[:octets], PLACE)


@pytest.mark.parametrize(
    "place",
    [
        associated_data("snapshot", "client 1", "mesh 1", 8),
        associated_data("snapshot", "client 2", "mesh 1", 7),
        associated_data("tray", "client 1", "mesh 1", 7),
        associated_data("snapshot", "client 1", "mesh 1", "7"),
        b"",
    ],
)
def test_a_document_does_not_open_in_another_place(place: bytes):
    with pytest.raises(SealError, match="belongs elsewhere"):
        open_sealed(DATA_KEY, SEALED, place)


def test_a_document_does_not_open_with_another_key():
    with pytest.raises(SealError):
        open_sealed(OTHER_KEY, SEALED, PLACE)


def test_an_unknown_version_is_named():
    with pytest.raises(SealError, match="version 2"):
        open_sealed(DATA_KEY, b"\x02" + SEALED[1:], PLACE)


@pytest.mark.parametrize("octets", [0, 16, 24, 31, 33])
def test_a_data_key_has_32_octets(octets: int):
    with pytest.raises(SealError, match=f"{octets} octets"):
        seal(bytes(octets), PLAIN, PLACE, NONCE)


@pytest.mark.parametrize("octets", [0, 8, 11, 13, 16])
def test_a_nonce_has_12_octets(octets: int):
    with pytest.raises(SealError, match=f"nonce of {octets} octets"):
        seal(DATA_KEY, PLAIN, PLACE, bytes(octets))


def test_a_data_key_is_the_random_octets_given():
    assert new_data_key(OTHER_KEY) == OTHER_KEY


@pytest.mark.parametrize("octets", [b"", bytes(range(31)), bytes(range(33)), bytes(32), b"\xff" * 32])
def test_no_data_key_comes_from_bad_randomness(octets: bytes):
    with pytest.raises(SealError):
        new_data_key(octets)


def test_a_wrapped_key_unwraps():
    assert unwrap(KEK, wrap(KEK, DATA_KEY)) == DATA_KEY


def test_a_wrapped_key_does_not_unwrap_with_another():
    with pytest.raises(SealError, match="another key of the key ring"):
        unwrap(bytes(32), wrap(KEK, DATA_KEY))


def test_one_flipped_bit_of_a_wrapped_key_is_noticed():
    wrapped = wrap(KEK, DATA_KEY)
    for place in range(len(wrapped) * 8):
        damaged = bytearray(wrapped)
        damaged[place // 8] ^= 1 << place % 8
        with pytest.raises(SealError):
            unwrap(KEK, bytes(damaged))


@pytest.mark.parametrize(
    ("kek", "wrapped"), [(b"", bytes(40)), (bytes(31), bytes(40)), (KEK, b""), (KEK, bytes(39))]
)
def test_wrong_sizes_are_refused(kek: bytes, wrapped: bytes):
    with pytest.raises(SealError):
        unwrap(kek, wrapped)


@pytest.mark.parametrize(("kek", "data_key"), [(bytes(5), DATA_KEY), (KEK, b""), (KEK, bytes(17))])
def test_wrong_sizes_are_not_wrapped(kek: bytes, data_key: bytes):
    with pytest.raises(SealError):
        wrap(kek, data_key)


def test_no_error_repeats_a_key():
    with pytest.raises(SealError) as caught:
        seal(DATA_KEY[:31], PLAIN, PLACE, NONCE)
    assert DATA_KEY[:31].hex() not in str(caught.value)


PARTS = st.lists(st.text(max_size=6) | st.integers() | st.binary(max_size=6), max_size=4)


@given(PARTS, PARTS)
def test_different_places_give_different_associated_data(
    one: list[str | int | bytes], other: list[str | int | bytes]
):
    assert (associated_data("k", *one) == associated_data("k", *other)) == (
        [(type(part), part) for part in one] == [(type(part), part) for part in other]
    )


@pytest.mark.parametrize(
    ("one", "other"),
    [(("ab", "c"), ("a", "bc")), (("a",), ("a", "")), (("1",), (1,)), ((b"a",), ("a",)), ((1, 2), (12,))],
)
def test_parts_cannot_run_into_each_other(
    one: tuple[str | int | bytes, ...], other: tuple[str | int | bytes, ...]
):
    assert associated_data("kind", *one) != associated_data("kind", *other)
