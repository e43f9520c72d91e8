from datetime import UTC, datetime
from typing import Any

import pytest

from fleet.snapshots.facts import Power, Role
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.readings import Reading, ReadingError, fitting, reader_for

ADDRESS = "02A4C138F00D0011"
KEY = bytes.fromhex("4F1C9A3377E2B05D8C66A1F0D2935B7E")
MOMENT = datetime(2026, 11, 25, 3, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("reading", "value"),
    [
        (Reading.HEX, "02A4C138F00D0011"),
        (Reading.HEX, "02a4c138f00d0011"),
        (Reading.HEX, "0x02a4c138f00d0011"),
        (Reading.HEX, "02:a4:c1:38:f0:0d:00:11"),
        (Reading.HEX, "02-A4-C1-38-F0-0D-00-11"),
        (Reading.HEX, "02A4.C138.F00D.0011"),
        (Reading.HEX, " 02A4 C138 F00D 0011 "),
        (Reading.HEX, "0x2a4c138f00d0011"),
        (Reading.HEX, "0x02,0xa4,0xc1,0x38,0xf0,0x0d,0x00,0x11"),
        (Reading.HEX_TURNED, "11000DF038C1A402"),
        (Reading.HEX_TURNED, "11:00:0d:f0:38:c1:a4:02"),
        (Reading.NUMBER, 190489534546116625),
        (Reading.NUMBER, "190489534546116625"),
        (Reading.NUMBER_TURNED, 1224994424040301570),
        (Reading.OCTETS, [2, 164, 193, 56, 240, 13, 0, 17]),
        (Reading.OCTETS, [2, -92, -63, 56, -16, 13, 0, 17]),
        (Reading.OCTETS, ["02", "A4", "C1", "38", "F0", "0D", "00", "11"]),
        (Reading.OCTETS, {"0": 2, "1": 164, "2": 193, "3": 56, "4": 240, "5": 13, "6": 0, "7": 17}),
        (Reading.OCTETS_TURNED, [17, 0, 13, 240, 56, 193, 164, 2]),
        (Reading.BASE64, "AqTBOPANABE="),
        (Reading.BASE64, "AqTBOPANABE"),
        (Reading.BASE64_TURNED, "EQAN8DjBpAI="),
    ],
)
def test_an_address_reads_the_same_in_every_notation(reading: Reading, value: Any) -> None:
    assert reader_for(Kind.ADDRESS, reading).read(value) == ADDRESS


@pytest.mark.parametrize(
    ("reading", "value"),
    [
        (Reading.HEX, "4F1C9A3377E2B05D8C66A1F0D2935B7E"),
        (Reading.HEX, "4f:1c:9a:33:77:e2:b0:5d:8c:66:a1:f0:d2:93:5b:7e"),
        (Reading.HEX, "0x4F1C9A3377E2B05D8C66A1F0D2935B7E"),
        (Reading.OCTETS, [79, 28, 154, 51, 119, 226, 176, 93, 140, 102, 161, 240, 210, 147, 91, 126]),
        (Reading.BASE64, "TxyaM3fisF2MZqHw0pNbfg=="),
        (Reading.HEX_TURNED, "7E5B93D2F0A1668C5DB0E277339A1C4F"),
    ],
)
def test_a_key_reads_the_same_in_every_notation(reading: Reading, value: Any) -> None:
    assert reader_for(Kind.KEY, reading).read(value) == KEY


@pytest.mark.parametrize(
    ("kind", "reading", "value", "expected"),
    [
        (Kind.SHORT, Reading.HEX, "1A2B", 6699),
        (Kind.SHORT, Reading.HEX, "0x1a2b", 6699),
        (Kind.SHORT, Reading.HEX, "2b", 43),
        (Kind.SHORT, Reading.NUMBER, 6699, 6699),
        (Kind.SHORT, Reading.NUMBER, "6699", 6699),
        (Kind.SHORT, Reading.OCTETS, [26, 43], 6699),
        (Kind.SHORT, Reading.OCTETS_TURNED, [43, 26], 6699),
        (Kind.COUNTER, Reading.NUMBER, 1463120, 1463120),
        (Kind.COUNTER, Reading.NUMBER, 1463120.0, 1463120),
        (Kind.COUNTER, Reading.NUMBER, "1463120", 1463120),
        (Kind.COUNTER, Reading.NUMBER, "1,463,120", 1463120),
        (Kind.COUNTER, Reading.NUMBER, "1 463 120", 1463120),
        (Kind.COUNTER, Reading.HEX, "00165350", 1463120),
        (Kind.COUNTER, Reading.HEX, "0x165350", 1463120),
        (Kind.COUNTER, Reading.OCTETS, [0, 22, 83, 80], 1463120),
        (Kind.OCTET, Reading.NUMBER, 255, 255),
        (Kind.CHANNEL, Reading.NUMBER, "15", 15),
        (Kind.CHANNEL, Reading.MEGAHERTZ, 2425, 15),
        (Kind.MASK, Reading.HEX, "0x02108800", 34637824),
        (Kind.MASK, Reading.CHANNEL_LIST, [11, 15, 20, 25], 34637824),
        (Kind.WHOLE, Reading.SIGNED_NUMBER, "-4", -4),
        (Kind.TRUTH, Reading.YES_NO, "Yes", True),
        (Kind.TRUTH, Reading.YES_NO, 0, False),
        (Kind.TRUTH, Reading.NO_YES, True, False),
        (Kind.TEXT, Reading.TEXT, "  Sæther's lamp ", "Sæther's lamp"),
        (Kind.TEXT, Reading.TEXT, 7, "7"),
    ],
)
def test_numbers_truths_and_texts_are_read(kind: Kind, reading: Reading, value: Any, expected: Any) -> None:
    assert reader_for(kind, reading).read(value) == expected


@pytest.mark.parametrize(
    ("reading", "value"),
    [
        (Reading.ISO_TIME, "2026-11-25T03:00:00Z"),
        (Reading.ISO_TIME, "2026-11-25T04:00:00+01:00"),
        (Reading.ISO_TIME, "2026-11-25 03:00:00.000"),
        (Reading.ISO_TIME, "2026-11-25T03:00"),
        (Reading.ISO_TIME, "20261125T030000Z"),
        (Reading.ISO_TIME, "2026-11-25 03:00:00 UTC"),
        (Reading.SECONDS, 1795575600),
        (Reading.SECONDS, 1795575600.0),
        (Reading.SECONDS, "1795575600"),
        (Reading.MILLISECONDS, 1795575600000),
        (Reading.MILLISECONDS, "1795575600000"),
        (Reading.MICROSECONDS, 1795575600000000),
    ],
)
def test_a_time_reads_the_same_in_every_notation(reading: Reading, value: Any) -> None:
    assert reader_for(Kind.TIME, reading).read(value) == MOMENT


def test_words_are_read_by_the_guides_own_table() -> None:
    reader = reader_for(Kind.ROLE, Reading.WORDS, (("relay", "router"), ("2", "end_device"), ("*", "")))

    assert [reader.read(word) for word in ("Relay", 2, "2", "lamp")] == [
        Role.ROUTER,
        Role.END_DEVICE,
        Role.END_DEVICE,
        "",
    ]


def test_blanks_and_capitals_make_no_other_word() -> None:
    reader = reader_for(Kind.ROLE, Reading.WORDS, (("end device", "end_device"),))

    assert reader.read("End_Device") is Role.END_DEVICE


def test_a_word_that_the_table_does_not_know_is_refused() -> None:
    reader = reader_for(Kind.POWER, Reading.WORDS, (("dc", Power.MAINS),))

    with pytest.raises(ReadingError, match="one of the words that the guide knows: dc"):
        reader.read("solar")


@pytest.mark.parametrize(
    ("kind", "reading", "value"),
    [
        (Kind.ADDRESS, Reading.HEX, "02A4C138F00D00"),
        (Kind.ADDRESS, Reading.HEX, "2A4C138F0"),
        (Kind.ADDRESS, Reading.HEX, "02A4C138F00D001122"),
        (Kind.ADDRESS, Reading.HEX, "02A4C138F00D00XX"),
        (Kind.ADDRESS, Reading.HEX, 190489534546116625),
        (Kind.ADDRESS, Reading.NUMBER, 18446744073709551616),
        (Kind.ADDRESS, Reading.NUMBER, 1.9e17),
        (Kind.ADDRESS, Reading.OCTETS, [2, 164, 193, 56, 240, 13, 0]),
        (Kind.ADDRESS, Reading.OCTETS, [2, 164, 193, 56, 240, 13, 0, 256]),
        (Kind.ADDRESS, Reading.BASE64, "AqTBOPANAB"),
        (Kind.KEY, Reading.HEX, "F1C9A3377E2B05D8C66A1F0D2935B7E"),
        (Kind.SHORT, Reading.NUMBER, 65536),
        (Kind.SHORT, Reading.NUMBER, True),
        (Kind.COUNTER, Reading.NUMBER, -1),
        (Kind.COUNTER, Reading.NUMBER, 4294967296),
        (Kind.COUNTER, Reading.NUMBER, "1,46,3120"),
        (Kind.COUNTER, Reading.NUMBER, 1463120.5),
        (Kind.CHANNEL, Reading.MEGAHERTZ, 2426),
        (Kind.MASK, Reading.CHANNEL_LIST, [11, 32]),
        (Kind.TIME, Reading.ISO_TIME, "2026-02-30T03:00:00Z"),
        (Kind.TIME, Reading.ISO_TIME, "2026-W48-3"),
        (Kind.TIME, Reading.SECONDS, float("inf")),
        (Kind.TIME, Reading.SECONDS, 10**16),
        (Kind.TRUTH, Reading.YES_NO, "perhaps"),
        (Kind.TEXT, Reading.TEXT, ["a"]),
        (Kind.WHOLE, Reading.SIGNED_NUMBER, 2**31),
    ],
)
def test_what_is_not_in_the_notation_is_refused(kind: Kind, reading: Reading, value: Any) -> None:
    with pytest.raises(ReadingError):
        reader_for(kind, reading).read(value)


@pytest.mark.parametrize("value", ["4F1C9A3377E2B05D8C66A1F0D2935B7", [79] * 15, "TxyaM3fisF2MZqHw0pNbf"])
def test_a_refused_key_is_not_repeated(value: Any) -> None:
    for reading in fitting(Kind.KEY):
        with pytest.raises(ReadingError) as refused:
            reader_for(Kind.KEY, reading).read(value)
        assert "4F1C" not in str(refused.value)
        assert "79" not in str(refused.value)
        assert "Txya" not in str(refused.value)


def test_a_reading_that_does_not_fit_the_fact_is_refused() -> None:
    with pytest.raises(ReadingError, match="one of the readings iso_time"):
        reader_for(Kind.TIME, Reading.HEX)


def test_words_without_a_table_are_refused() -> None:
    with pytest.raises(ReadingError, match="head, router, end_device"):
        reader_for(Kind.ROLE, Reading.WORDS)


@pytest.mark.parametrize(
    ("kind", "reading", "like", "ours", "written"),
    [
        (Kind.COUNTER, Reading.NUMBER, 1463120, 17080656, 17080656),
        (Kind.COUNTER, Reading.NUMBER, 1463120.0, 17080656, 17080656.0),
        (Kind.COUNTER, Reading.NUMBER, "1463120", 17080656, "17080656"),
        (Kind.COUNTER, Reading.NUMBER, "0001463120", 17080656, "0017080656"),
        (Kind.COUNTER, Reading.NUMBER, "1,463,120", 17080656, "17,080,656"),
        (Kind.COUNTER, Reading.HEX, "0x00165350", 17080656, "0x0104a150"),
        (Kind.COUNTER, Reading.HEX, "0016535A", 17080656, "0104A150"),
        (Kind.COUNTER, Reading.HEX, "0x165350", 17080656, "0x104a150"),
        (Kind.COUNTER, Reading.HEX, "00:16:53:5a", 17080656, "01:04:a1:50"),
        (Kind.COUNTER, Reading.OCTETS, [0, 22, 83, 80], 17080656, [1, 4, 161, 80]),
        (Kind.COUNTER, Reading.OCTETS_TURNED, [80, 83, 22, 0], 17080656, [80, 161, 4, 1]),
        (Kind.ADDRESS, Reading.HEX_TURNED, "aa:00:0d:f0:38:c1:a4:02", ADDRESS, "11:00:0d:f0:38:c1:a4:02"),
        (
            Kind.ADDRESS,
            Reading.OCTETS,
            ["0xaa"] * 8,
            "02A4C138F00D0011",
            ["0x02", "0xa4", "0xc1", "0x38", "0xf0", "0x0d", "0x00", "0x11"],
        ),
        (Kind.KEY, Reading.BASE64, "AAAAAAAAAAAAAAAAAAAAAA==", KEY, "TxyaM3fisF2MZqHw0pNbfg=="),
        (Kind.MASK, Reading.CHANNEL_LIST, [11], 34637824, [11, 15, 20, 25]),
        (Kind.CHANNEL, Reading.MEGAHERTZ, "2405", 15, "2425"),
        (
            Kind.TIME,
            Reading.ISO_TIME,
            "2020-01-01 00:00:00.000+01:00",
            MOMENT,
            "2026-11-25 04:00:00.000+01:00",
        ),
        (Kind.TIME, Reading.ISO_TIME, "2020-01-01T00:00:00Z", MOMENT, "2026-11-25T03:00:00Z"),
        (Kind.TIME, Reading.MILLISECONDS, 1, MOMENT, 1795575600000),
        (Kind.TRUTH, Reading.YES_NO, "No", True, "Yes"),
        (Kind.TRUTH, Reading.NO_YES, 1, True, 0),
        (Kind.TEXT, Reading.TEXT, 5, "7", 7),
    ],
)
def test_a_value_is_written_in_the_notation_that_stood_there(
    kind: Kind, reading: Reading, like: Any, ours: Any, written: Any
) -> None:
    assert reader_for(kind, reading).write(ours, like) == written
