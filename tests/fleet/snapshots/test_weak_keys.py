"""Weak patterns are recognised, random keys are not (capability X7)."""

import random

import pytest

from fleet.snapshots.weak_keys import is_public, unset_pattern, weak_pattern


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param("00000000000000000000000000000000", id="zero"),
        pytest.param("FFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFF", id="ones"),
        pytest.param("5A5A5A5A5A5A5A5A5A5A5A5A5A5A5A5A", id="one octet"),
    ],
)
def test_a_placeholder_is_no_key(octets: str):
    assert unset_pattern(bytes.fromhex(octets))


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param("000102030405060708090A0B0C0D0E0F", id="counts up"),
        pytest.param("0F0E0D0C0B0A09080706050403020100", id="counts down"),
        pytest.param("F8F9FAFBFCFDFEFF0001020304050607", id="counts past the end of an octet"),
        pytest.param("00112233445566778899AABBCCDDEEFF", id="even steps"),
        pytest.param("10121416181A1C1E2022242628FA2C2E", id="even steps with a slip"),
        pytest.param("4F1C9A3377E2B05D4F1C9A3377E2B05D", id="two equal halves"),
        pytest.param("4F1C4F1C4F1C4F1C4F1C4F1C4F1C4F1C", id="two octets eight times"),
        pytest.param("4F1C9A3377E2B05D5DB0E277339A1C4F", id="two mirrored halves"),
        pytest.param("0001010000FF01000100FFFF00010100", id="few different octets"),
        pytest.param("6D79736563726574706173737730726C", id="typed letters"),
    ],
)
def test_a_made_up_key_is_weak(octets: str):
    assert weak_pattern(bytes.fromhex(octets))


@pytest.mark.parametrize(
    "octets",
    [
        # Zigbee specification, default global trust centre link key.
        pytest.param("5A6967426565416C6C69616E63653039", id="as specified"),
        pytest.param("393065636E61696C6C4165654267695A", id="octets reversed"),
    ],
)
def test_the_public_link_key_is_recognised(octets: str):
    assert is_public(bytes.fromhex(octets))


def test_no_random_key_of_a_hundred_thousand_is_taken_for_weak():
    draw = random.Random(20261125)
    keys = (draw.randbytes(16) for _ in range(100_000))
    assert not [key for key in keys if unset_pattern(key) or is_public(key) or weak_pattern(key)]


def test_no_pattern_repeats_octets_of_the_key():
    assert weak_pattern(bytes(range(16))) == "octets that count up or down"
