from typing import Any

import pytest

from fleet.snapshots.evidence.sights import ADDRESS, COUNTER, KEY, SHORT, Sight, is_channels, sights
from fleet.snapshots.readings import Reading


def seen(value: Any) -> set[tuple[int, Reading, int]]:
    return {(sight.width, sight.reading, sight.number) for sight in sights(value)}


@pytest.mark.parametrize(
    ("value", "meaning"),
    [
        ("02A4C138F00D0011", (ADDRESS, Reading.HEX, 0x02A4C138F00D0011)),
        ("0x2a4c138f00d0011", (ADDRESS, Reading.HEX, 0x02A4C138F00D0011)),
        ("02:a4:c1:38:f0:0d:00:11", (ADDRESS, Reading.HEX, 0x02A4C138F00D0011)),
        ("02a4.c138.f00d.0011", (ADDRESS, Reading.HEX, 0x02A4C138F00D0011)),
        (190489534546116625, (ADDRESS, Reading.NUMBER, 0x02A4C138F00D0011)),
        ("190489534546116625", (ADDRESS, Reading.NUMBER, 0x02A4C138F00D0011)),
        ([2, 164, 193, 56, 240, 13, 0, 17], (ADDRESS, Reading.OCTETS, 0x02A4C138F00D0011)),
        ("AqTBOPANABE=", (ADDRESS, Reading.BASE64, 0x02A4C138F00D0011)),
        (-1234567890123456789, (ADDRESS, Reading.NUMBER, 17212176183586094827)),
        ("4F1C9A3377E2B05D8C66A1F0D2935B7E", (KEY, Reading.HEX, 0x4F1C9A3377E2B05D8C66A1F0D2935B7E)),
        ("TxyaM3fisF2MZqHw0pNbfg==", (KEY, Reading.BASE64, 0x4F1C9A3377E2B05D8C66A1F0D2935B7E)),
        ("1a2b", (SHORT, Reading.HEX, 0x1A2B)),
        ("0x2b", (SHORT, Reading.HEX, 0x2B)),
        (6699, (SHORT, Reading.NUMBER, 6699)),
        ("1,463,120", (COUNTER, Reading.NUMBER, 1463120)),
        ("0016535a", (COUNTER, Reading.HEX, 0x16535A)),
        (15.0, (SHORT, Reading.NUMBER, 15)),
    ],
)
def test_the_form_of_a_value_tells_what_it_could_be(value: Any, meaning: tuple[int, Reading, int]) -> None:
    assert meaning in seen(value)


@pytest.mark.parametrize("value", ["6699", "1234"])
def test_decimal_digits_could_be_hex_as_well(value: str) -> None:
    assert {(SHORT, Reading.NUMBER, int(value)), (SHORT, Reading.HEX, int(value, 16))} <= seen(value)


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        1.5,
        "",
        "Kitchen lamp",
        "2026-11-25T03:00:00Z",
        "123e4567-e89b-42d3-a456-426614174000",
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        [1, 2, 3],
        [1, "2"],
        list(range(11, 27)),
        {"a": 1},
        "x" * 500,
        1795575600000,
    ],
)
def test_words_times_and_digests_are_no_octets(value: Any) -> None:
    assert sights(value) == []


def test_a_repr_does_not_hold_the_number() -> None:
    assert repr(Sight(KEY, Reading.HEX, 0x4F1C)) == "Sight(16, hex)"


@pytest.mark.parametrize(
    ("value", "expected"),
    [([11, 15], True), ([26], True), ([10, 15], False), ([15, 15], False), ([], False), ("15", False)],
)
def test_a_list_of_channels_is_one_of_different_channels(value: Any, expected: bool) -> None:
    assert is_channels(value) is expected
