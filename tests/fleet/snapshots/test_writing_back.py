"""The original comes back with its counters advanced and not one other octet changed."""

import json

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.readings import Reading
from fleet.snapshots.writing_back import Place, WriteBackError, write_back
from tests.fleet.snapshots import making

OWN = Place(own_layout.COUNTER_PATH)
COUNTER = Place(("c",))
HEX = Place(("c",), Reading.HEX)
START = 17_080_656
"""The number of trade C1: 0x0104A150, from 1,463,120 or 0x00165350."""


def test_our_own_layout_gets_its_counter():
    document = making.document()
    document["security"]["outgoingCounter"] = 1463120
    original = json.dumps(document, indent=3).replace("\n", "\r\n").encode()
    written = write_back(original, {OWN: START})
    assert written == original.replace(b'"outgoingCounter": 1463120', b'"outgoingCounter": 17080656')


@pytest.mark.parametrize(
    ("original", "place", "written"),
    [
        pytest.param(b'{"c":5}', COUNTER, b'{"c":1000}', id="number"),
        pytest.param(b'{"c": "5" }', COUNTER, b'{"c": "1000" }', id="decimal text"),
        pytest.param(b'{"c":"0000000005"}', COUNTER, b'{"c":"0000001000"}', id="decimal text of one width"),
        pytest.param(b'{"c":"0x00000005"}', HEX, b'{"c":"0x000003e8"}', id="hex text with prefix"),
        pytest.param(b'{"c":"0X00000005"}', HEX, b'{"c":"0X000003E8"}', id="hex text with a large prefix"),
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


@pytest.mark.parametrize(
    ("reading", "original", "written"),
    [
        pytest.param(Reading.NUMBER, "1463120.0", "17080656.0", id="float"),
        pytest.param(Reading.NUMBER, "1.46312e6", "17.080656e6", id="float with a power of ten"),
        pytest.param(Reading.NUMBER, '"1 463 120"', '"17 080 656"', id="groups by blanks"),
        pytest.param(Reading.NUMBER, '"1,463,120"', '"17,080,656"', id="groups by commas"),
        pytest.param(Reading.NUMBER, '"1_463_120"', '"17_080_656"', id="groups by underscores"),
        pytest.param(Reading.NUMBER, '"1\u202f463\u202f120"', '"17\u202f080\u202f656"', id="thin blanks"),
        pytest.param(Reading.NUMBER, '"1\\u00a0463\\u00a0120"', '"17\\u00a0080\\u00a0656"', id="escaped"),
        pytest.param(Reading.NUMBER, '"001,463,120"', '"017,080,656"', id="groups of one width"),
        pytest.param(Reading.NUMBER, '"   1463120"', '"  17080656"', id="blanks before it"),
        pytest.param(Reading.NUMBER, '"1463120   "', '"17080656  "', id="blanks after it"),
        pytest.param(Reading.HEX, '"00:16:53:50"', '"01:04:A1:50"', id="hex octets"),
        pytest.param(Reading.HEX, '"16:53:5a"', '"01:04:a1:50"', id="hex octets that grow"),
        pytest.param(Reading.HEX, '"0016-5350"', '"0104-A150"', id="hex words"),
        pytest.param(Reading.HEX, '"16-535a"', '"104-a150"', id="hex words that grow"),
        pytest.param(Reading.HEX, '"0x00 0x16 0x53 0x50"', '"0x01 0x04 0xa1 0x50"', id="prefixed octets"),
        pytest.param(Reading.HEX, '" 0x165350 "', '"0x104a150 "', id="hex amid blanks"),
        pytest.param(Reading.HEX_TURNED, '"50531600"', '"50A10401"', id="turned hex"),
        pytest.param(Reading.HEX_TURNED, '"5a:53:16:00"', '"50:a1:04:01"', id="turned hex octets"),
        pytest.param(Reading.NUMBER_TURNED, "1347622400", "1352729601", id="turned number"),
        pytest.param(Reading.NUMBER_TURNED, '"1347622400"', '"1352729601"', id="turned decimal text"),
        pytest.param(Reading.OCTETS, "[ 0, 22,83 ,\n80]", "[ 1, 4,161 ,\n80]", id="octets"),
        pytest.param(Reading.OCTETS, "[0,22,83,-128]", "[1,4,-95,80]", id="signed octets"),
        pytest.param(Reading.OCTETS, "[0.0,22.0,83.0,80.0]", "[1.0,4.0,161.0,80.0]", id="octets as floats"),
        pytest.param(Reading.OCTETS, '["00","16","53","5a"]', '["01","04","a1","50"]', id="hex in a list"),
        pytest.param(
            Reading.OCTETS, '["0","16","53","50"]', '["1","04","A1","50"]', id="short hex in a list"
        ),
        pytest.param(Reading.OCTETS, '["0x00","0x16",83,80]', '["0x01","0x04",161,80]', id="a mixed list"),
        pytest.param(Reading.OCTETS_TURNED, "[80,83,22,0]", "[80,161,4,1]", id="turned octets"),
        pytest.param(
            Reading.OCTETS, '{"3":80,"0":0,"1":22,"2":83}', '{"3":80,"0":1,"1":4,"2":161}', id="typed array"
        ),
        pytest.param(Reading.BASE64, '"ABZTUA=="', '"AQShUA=="', id="base64"),
        pytest.param(Reading.BASE64, '"ABZTUA"', '"AQShUA"', id="base64 without padding"),
        pytest.param(Reading.BASE64_TURNED, '"UFMWAA=="', '"UKEEAQ=="', id="turned base64"),
    ],
)
def test_every_notation_of_a_counter_keeps_its_shape(reading: Reading, original: str, written: str):
    place = Place(("a", 1), reading)
    document, expected = f'{{"a": [7,{original}]}}'.encode(), f'{{"a": [7,{written}]}}'.encode()
    assert write_back(document, {place: START}) == expected


@pytest.mark.parametrize(
    "name", ["a b", "4F1C9A3377E2B05D8C66A1F0D2935B7E", 'a"b\\c', "\u202e", "long " * 20, "", "0"]
)
def test_a_counter_may_stand_under_any_name(name: str):
    original = json.dumps({name: [{"c": 5}]}).encode()
    written = write_back(original, {Place((name, 0, "c")): 1000})
    assert json.loads(written) == {name: [{"c": 1000}]}


def test_a_document_may_be_nothing_but_its_counter():
    assert write_back(b" 5 ", {Place(()): 1000}) == b" 1000 "


def test_several_places_are_written_together():
    original = b'{"nodes":[{"c":1},{"c":2}],"c":"0003"}'
    places = {Place(("nodes", 0, "c")): 10, Place(("nodes", 1, "c")): 20, COUNTER: 30}
    assert write_back(original, places) == b'{"nodes":[{"c":10},{"c":20}],"c":"0030"}'


@pytest.mark.parametrize(
    ("original", "place", "value", "words"),
    [
        pytest.param(b'{"d":5}', COUNTER, 9, "holds nothing there", id="no such place"),
        pytest.param(b'{"c":{"c":5}}', COUNTER, 9, "a whole number", id="an object"),
        pytest.param(b'{"c":null}', COUNTER, 9, "a whole number", id="null"),
        pytest.param(b'{"c":true}', COUNTER, 9, "a whole number", id="a word"),
        pytest.param(b'{"c":5.5}', COUNTER, 9, "a whole number", id="a broken number"),
        pytest.param(b'{"c":-5}', COUNTER, 9, "a whole number", id="a negative number"),
        pytest.param(b'{"c":5}', HEX, 9, "8 hex digits", id="a number where text is said to be"),
        pytest.param(b'{"c":"5h"}', COUNTER, 9, "a whole number", id="text that is no number"),
        pytest.param(b'{"c":"00G1"}', HEX, 9, "8 hex digits", id="text that is no hex"),
        pytest.param(b'{"c":500}', COUNTER, 499, "500 to 4294967294", id="lower than what stands there"),
        pytest.param(b'{"c":5}', COUNTER, 4294967295, "5 to 4294967294", id="the unusable value"),
        pytest.param(b'{"c":5}', COUNTER, -1, "5 to 4294967294", id="below zero"),
        pytest.param(b'{"c":"005"}', COUNTER, 1000, "does not fit the 3 characters", id="too wide"),
        pytest.param(b'{"c":"0x00ff"}', HEX, 2**16, "does not fit the 6 characters", id="too wide in hex"),
        pytest.param(b'{"c":"00:ff"}', HEX, 2**16, "does not fit the 5 characters", id="too wide in octets"),
    ],
)
def test_what_cannot_be_written_is_refused_with_its_place(
    original: bytes, place: Place, value: int, words: str
):
    with pytest.raises(WriteBackError, match=words) as caught:
        write_back(original, {place: value})
    assert str(caught.value).startswith("$.c: ")


def test_a_document_that_is_no_json_is_refused():
    with pytest.raises(ReadError):
        write_back(b'{"c":5', {COUNTER: 9})
