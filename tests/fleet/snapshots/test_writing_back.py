"""The original comes back with its counters advanced and not one other octet changed."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import ReadError, decode
from fleet.snapshots.paths import PathError
from fleet.snapshots.writing_back import Place, WriteBackError, Writing, write_back
from tests.fleet.snapshots import making

OWN = Place(own_layout.COUNTER_PLACE)
COUNTER = Place("$.c")
TEXT = Place("$.c", Writing.DECIMAL_TEXT)
HEX = Place("$.c", Writing.HEX_TEXT)


def test_our_own_layout_gets_its_counter():
    document = making.document()
    document["security"]["outgoingCounter"] = 1463120
    original = json.dumps(document, indent=3).replace("\n", "\r\n").encode()
    written = write_back(original, {OWN: 17080656})
    assert written == original.replace(b'"outgoingCounter": 1463120', b'"outgoingCounter": 17080656')


@pytest.mark.parametrize(
    ("original", "place", "written"),
    [
        pytest.param(b'{"c":5}', COUNTER, b'{"c":1000}', id="number"),
        pytest.param(b'{"c": "5" }', TEXT, b'{"c": "1000" }', id="decimal text"),
        pytest.param(b'{"c":"0000000005"}', TEXT, b'{"c":"0000001000"}', id="decimal text of one width"),
        pytest.param(b'{"c":"0x00000005"}', HEX, b'{"c":"0x000003E8"}', id="hex text with prefix"),
        pytest.param(b'{"c":"0000000f"}', HEX, b'{"c":"000003e8"}', id="hex text in lower case"),
        pytest.param(b'{"c":"0000000F"}', HEX, b'{"c":"000003E8"}', id="hex text in upper case"),
        pytest.param(b'{"c":"F"}', HEX, b'{"c":"3E8"}', id="hex text that grows"),
        pytest.param(b'{"a":{"c":5},"c":5}', COUNTER, b'{"a":{"c":5},"c":1000}', id="only at its place"),
        pytest.param(b'{"t":"\\"c\\":5","c":5}', COUNTER, b'{"t":"\\"c\\":5","c":1000}', id="not in a text"),
        pytest.param(b'{"\\u0063":5}', COUNTER, b'{"\\u0063":1000}', id="an escaped name"),
        pytest.param(b'\n{"c"\t:\r\n5}\n', COUNTER, b'\n{"c"\t:\r\n1000}\n', id="odd blanks"),
    ],
)
def test_a_number_keeps_its_notation(original: bytes, place: Place, written: bytes):
    assert write_back(original, {place: 1000}) == written


def test_several_places_are_written_together():
    original = b'{"nodes":[{"c":1},{"c":2}],"c":"0003"}'
    places = {Place("$.nodes[0].c"): 10, Place("$.nodes[1].c"): 20, TEXT: 30}
    assert write_back(original, places) == b'{"nodes":[{"c":10},{"c":20}],"c":"0030"}'


@pytest.mark.parametrize(
    ("original", "place", "value", "words"),
    [
        pytest.param(b'{"d":5}', COUNTER, 9, "holds no number there", id="no such place"),
        pytest.param(b'{"c":{"c":5}}', COUNTER, 9, "holds no number there", id="an object"),
        pytest.param(b'{"c":null}', COUNTER, 9, "a whole number", id="null"),
        pytest.param(b'{"c":5.0}', COUNTER, 9, "a whole number", id="a float"),
        pytest.param(b'{"c":-5}', COUNTER, 9, "a whole number", id="a negative number"),
        pytest.param(b'{"c":"5"}', COUNTER, 9, "a whole number", id="text where a number is said to be"),
        pytest.param(b'{"c":5}', TEXT, 9, "decimal digits", id="a number where text is said to be"),
        pytest.param(b'{"c":"5h"}', TEXT, 9, "decimal digits", id="text that is no number"),
        pytest.param(b'{"c":"00G1"}', HEX, 9, "hex digits", id="text that is no hex"),
        pytest.param(b'{"c":500}', COUNTER, 499, "500 to 4294967294", id="lower than what stands there"),
        pytest.param(b'{"c":5}', COUNTER, 4294967295, "5 to 4294967294", id="the unusable value"),
        pytest.param(b'{"c":5}', COUNTER, -1, "5 to 4294967294", id="below zero"),
        pytest.param(b'{"c":"005"}', TEXT, 1000, "does not fit the 3 digits", id="too wide"),
    ],
)
def test_what_cannot_be_written_is_refused_with_its_place(
    original: bytes, place: Place, value: int, words: str
):
    with pytest.raises(WriteBackError, match=words) as caught:
        write_back(original, {place: value})
    assert str(caught.value).startswith("$.c: ")


def test_a_place_that_is_no_path_is_refused():
    with pytest.raises(PathError, match=r"\$\.security\.outgoingCounter"):
        write_back(b'{"c":5}', {Place("c"): 9})


def test_a_document_that_is_no_json_is_refused():
    with pytest.raises(ReadError):
        write_back(b'{"c":5', {COUNTER: 9})


@given(st.integers(0, 10**6), st.integers(0, 4294967294 - 2 * 10**9), st.sampled_from([None, 1, 4]))
def test_only_the_counter_differs_afterwards(seed: int, rise: int, indent: int | None):
    document = making.document(seed, nodes=3)
    original = json.dumps(document, indent=indent).encode()
    value = document["security"]["outgoingCounter"] + rise
    written = decode(write_back(original, {OWN: value}))
    document["security"]["outgoingCounter"] = value
    assert written == document
