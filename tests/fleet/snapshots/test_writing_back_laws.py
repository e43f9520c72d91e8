"""What holds for every document, place, notation and number: it reads as written, and nothing else has changed."""

import json
import re
from base64 import b64encode, urlsafe_b64encode
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fleet.snapshots.decoding import decode
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.readings import Reading, reader_for
from fleet.snapshots.writing_back import Place, WriteBackError, counter_at, write_back

MOST = 2**32 - 2
SEPARATORS = ("", ":", "-", " ", ".", "_", ", ", " 0x")
GROUPS = (" ", ",", ".", "_", "'", "\u00a0", "\u202f")
BLANKS = st.text(" \t", max_size=3)


def octets(number: int, turned: bool) -> bytes:
    return number.to_bytes(4, "little" if turned else "big")


@st.composite
def hex_texts(draw: st.DrawFn, number: int, turned: bool) -> str:
    digits = octets(number, turned).hex().lstrip("0").zfill(draw(st.sampled_from([1, 4, 6, 8])))
    if draw(st.booleans()):
        digits = digits.upper()
    size, gap = draw(st.sampled_from([1, 2, 4])), draw(st.sampled_from(SEPARATORS))
    parts = [digits[max(0, end - size) : end] for end in range(len(digits), 0, -size)]
    text = draw(st.sampled_from(["", "0x"])) + gap.join(reversed(parts))
    return draw(BLANKS) + text + draw(BLANKS)


@st.composite
def number_texts(draw: st.DrawFn, number: int, turned: bool) -> str:
    number = int.from_bytes(octets(number, turned), "big")
    width = draw(st.sampled_from([1, 5, 10, 13]))
    text = (
        f"{number:0{width}}"
        if draw(st.booleans())
        else f"{number:,}".replace(",", draw(st.sampled_from(GROUPS)))
    )
    return draw(BLANKS) + text + draw(BLANKS)


@st.composite
def numbers(draw: st.DrawFn, number: int, turned: bool) -> int | float:
    number = int.from_bytes(octets(number, turned), "big")
    return float(number) if draw(st.booleans()) else number


@st.composite
def octet_lists(draw: st.DrawFn, number: int, turned: bool) -> Any:
    form = draw(st.sampled_from(["number", "float", "signed", "hex", "HEX", "0x", "short"]))
    items = [_octet(octet, form) for octet in octets(number, turned)]
    return {str(place): item for place, item in enumerate(items)} if draw(st.booleans()) else items


def _octet(octet: int, form: str) -> Any:
    return {
        "number": octet,
        "float": float(octet),
        "signed": octet - 256 if octet > 127 else octet,
        "hex": f"{octet:02x}",
        "HEX": f"{octet:02X}",
        "0x": f"0x{octet:02x}",
        "short": f"{octet:x}",
    }[form]


@st.composite
def base64_texts(draw: st.DrawFn, number: int, turned: bool) -> str:
    encode = draw(st.sampled_from([b64encode, urlsafe_b64encode]))
    text = encode(octets(number, turned)).decode()
    return draw(BLANKS) + (text if draw(st.booleans()) else text.rstrip("=")) + draw(BLANKS)


WRITERS = {
    Reading.HEX: hex_texts,
    Reading.NUMBER: lambda number, turned: numbers(number, turned) | number_texts(number, turned),
    Reading.OCTETS: octet_lists,
    Reading.BASE64: base64_texts,
}
TURNED = {
    Reading.HEX_TURNED: Reading.HEX,
    Reading.NUMBER_TURNED: Reading.NUMBER,
    Reading.OCTETS_TURNED: Reading.OCTETS,
    Reading.BASE64_TURNED: Reading.BASE64,
}


@st.composite
def standing(draw: st.DrawFn) -> tuple[Reading, Any, int]:
    """A reading, a value in its notation, and a number to put there that is not lower."""
    reading = draw(st.sampled_from([*WRITERS, *TURNED]))
    number = draw(st.integers(0, MOST) | st.integers(0, 70_000))
    value = draw(WRITERS[TURNED.get(reading, reading)](number, reading in TURNED))
    return reading, value, draw(st.integers(number, MOST) | st.just(number))


MARK = "where the counter stands"


def around(path: tuple[str | int, ...], like: Any) -> tuple[bytes, bytes]:
    """What stands before and after the value at the path of a document that holds its like elsewhere too."""
    document: Any = MARK
    for step in reversed(path):
        beside = [{"beside": like}, like]
        one, two = (step, f"{step} too") if isinstance(step, str) else ("", "")
        document = {one: document, two: like} if isinstance(step, str) else [*beside[:step], document, like]
    before, after = json.dumps(document, indent=1).encode().split(json.dumps(MARK).encode())
    return before, after


PATHS = st.lists(st.text(max_size=30) | st.integers(0, 2), max_size=4).map(tuple)
COMPACT = (",", ":")


@settings(max_examples=500)
@given(standing(), PATHS, st.booleans(), st.booleans())
def test_what_is_written_back_reads_as_the_number_and_nothing_else_changes(
    standing: tuple[Reading, Any, int], path: tuple[str | int, ...], is_ascii: bool, is_compact: bool
) -> None:
    reading, value, number = standing
    before, after = around(path, value)
    token = json.dumps(value, ensure_ascii=is_ascii, separators=COMPACT if is_compact else None).encode()
    place = Place(path, reading)
    if cannot_fit(value, reading, number):
        with pytest.raises(WriteBackError, match="does not fit"):
            write_back(before + token + after, {place: number})
        return

    written = write_back(before + token + after, {place: number})

    assert counter_at(decode(written), place) == number
    assert written.startswith(before)
    assert written.endswith(after)
    assert_same_shape(value, json.loads(written[len(before) : len(written) - len(after)]), reading)


def cannot_fit(value: Any, reading: Reading, number: int) -> bool:
    """By hand: more digits than a text has that begins with a nought."""
    if not isinstance(value, str) or "base64" in reading:
        return False
    digits = re.sub(r"0x|[^0-9A-Fa-f]", "", value)
    turned = int.from_bytes(octets(number, reading in TURNED), "big")
    needed = f"{turned:x}" if "hex" in reading else f"{turned}"
    return digits.startswith("0") and 1 < len(digits) < len(needed)


def assert_same_shape(old: Any, new: Any, reading: Reading) -> None:
    assert type(new) is type(old)
    if isinstance(old, dict):
        assert list(new) == list(old)
        assert_same_shape([*old.values()], [*new.values()], reading)
    elif isinstance(old, list):
        for one, other in zip(old, new, strict=True):
            assert_same_shape(one, other, reading)
    elif isinstance(old, str) and "base64" in reading:
        assert (len(new), new.count("=")) == (len(old), old.count("="))
    elif isinstance(old, str):
        digits = "0-9" if "number" in reading else "0-9A-Fa-f"
        if len(re.findall(f"[{digits}]", old)) == len(re.findall(f"[{digits}]", new)):
            assert re.sub(f"[{digits}]", "#", new) == re.sub(f"[{digits}]", "#", old)
        assert set(re.sub(f"[{digits}]", "", new)) <= set(re.sub(f"[{digits}]", "", old))
        assert not (re.search("[a-f]", old) and re.search("[A-F]", new))
        assert not (re.search("[A-F]", old) and re.search("[a-f]", new))


@given(st.lists(standing(), min_size=1, max_size=6))
def test_any_number_of_counters_are_written_at_once(all_standing: list[tuple[Reading, Any, int]]) -> None:
    wide = [each for each in all_standing if not isinstance(each[1], str)]
    original = json.dumps([value for _, value, _ in wide]).encode()
    counters = {Place((at,), reading): number for at, (reading, _, number) in enumerate(wide)}

    written = decode(write_back(original, counters))

    assert [counter_at(written, place) for place in counters] == [number for _, _, number in wide]


@given(standing(), st.integers(-(2**40), 2**40))
def test_a_number_that_is_lower_or_past_the_end_is_never_written(
    standing: tuple[Reading, Any, int], number: int
) -> None:
    reading, value, _ = standing
    stands = reader_for(Kind.COUNTER, reading).read(value)
    assume(not stands <= number <= MOST)

    with pytest.raises(WriteBackError, match=f"right is {stands} to {MOST}"):
        write_back(json.dumps(value).encode(), {Place((), reading): number})
