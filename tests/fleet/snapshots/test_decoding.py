"""Hostile and broken octets: refused with their place, never a traceback."""

import json
import tracemalloc
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.decoding import MAX_BYTES, ReadError, decode
from tests.fleet.snapshots import making

KEY = "4F1C9A3377E2B05D8C66A1F0D2935B7E"


def problem_of(data: bytes, **limits: int):
    with pytest.raises(ReadError) as caught:
        decode(data, **limits)
    (problem,) = caught.value.problems
    return problem


def test_a_plain_document_is_decoded():
    assert decode(b'{"a": [1, -2.5, true, null, "\xc3\xa6"]}') == {"a": [1, -2.5, True, None, "æ"]}


@pytest.mark.parametrize(
    ("data", "path"),
    [
        pytest.param(b"", "$", id="empty"),
        pytest.param(b" \r\n\t ", "$", id="blanks only"),
        pytest.param(b"\xef\xbb\xbf{}", "$", id="byte order mark"),
        pytest.param('{"a":1}'.encode("utf-16"), "$", id="UTF-16 with mark"),
        pytest.param('{"a":1}'.encode("utf-16-le"), "$", id="UTF-16 little end first"),
        pytest.param('{"a":1}'.encode("utf-16-be"), "$", id="UTF-16 big end first"),
        pytest.param('{"a":1}'.encode("utf-32"), "$", id="UTF-32"),
        pytest.param(b"\x1f\x8b\x08\x00", "$", id="gzip"),
        pytest.param(b"PK\x03\x04", "$", id="zip"),
        pytest.param(b'{"air":{"channel":NaN}}', "$.air.channel", id="NaN"),
        pytest.param(b'{"air":{"channel":-Infinity}}', "$.air.channel", id="minus infinity"),
        pytest.param(b'{"a":[1,Infinity]}', "$.a[1]", id="infinity in a list"),
        pytest.param(b'{"a":1e999}', "$.a", id="a number beyond every double"),
        pytest.param(b'{"a":True}', "$.a", id="a word of another language"),
        pytest.param(b'{"a":18446744073709551616}', "$.a", id="2 to the 64"),
        pytest.param(b'{"a":[0,-9223372036854775809]}', "$.a[1]", id="below -2 to the 63"),
        pytest.param(b'{"a":%s}' % (b"9" * 5000), "$.a", id="5000 digits"),
        pytest.param(b'{"a":1,"b":{"c":1,"c":2}}', "$.b.c", id="a name twice"),
        pytest.param(b'{"nodes":[{},{"a":1,"\\u0061":2}]}', "$.nodes[1].a", id="a name twice, once escaped"),
        pytest.param(b'{"a":"\\u003a","b":1,"b":2}', "$.b", id="a name twice, hidden by an escaped colon"),
        pytest.param(b"{'a':1}", "$", id="single quotes"),
        pytest.param(b'{"a":[1,]}', "$.a[1]", id="comma before a bracket"),
        pytest.param(b'{"a":1,}', "$", id="comma before a brace"),
        pytest.param(b'{"a":1 "b":2}', "$.a", id="no comma"),
        pytest.param(b'{"a":{"b"}}', "$.a.b", id="no colon"),
        pytest.param(b'{"a":01}', "$.a", id="leading zero"),
        pytest.param(b'{"a":"x', "$.a", id="cut off inside a text"),
        pytest.param(b'{"a":{"b":12', "$.a.b", id="cut off inside an object"),
        pytest.param(b'{"a":1}{"b":2}', "$", id="two documents"),
        pytest.param(b'{"a":"\x01"}', "$.a", id="control character"),
        pytest.param(b'{"a":"\xff"}', "$.a", id="not UTF-8"),
        pytest.param(b'{"a":["\\ud800"]}', "$.a[0]", id="half a surrogate pair"),
        pytest.param(b'{"a":1} // said', "$", id="a comment"),
    ],
)
def test_a_broken_document_is_refused_with_its_place(data: bytes, path: str):
    assert problem_of(data).path == path


def test_integers_of_64_bits_are_kept_exactly():
    assert decode(b"[18446744073709551615,-9223372036854775808]") == [2**64 - 1, -(2**63)]


def test_a_large_float_is_no_large_integer():
    assert decode(b"[1e30]") == [1e30]


def test_text_that_looks_like_a_fault_is_only_text():
    assert decode(b'{"a":"1e+22 NaN","b":"\\u003a"}') == {"a": "1e+22 NaN", "b": ":"}


def test_forty_levels_are_read():
    assert decode(b"[" * 40 + b"1" + b"]" * 40)


@pytest.mark.parametrize("levels", [41, 255, 1000, 1500, 100_000])
def test_more_than_forty_levels_are_refused(levels: int):
    problem = problem_of(b'{"deep":' + b"[" * (levels - 1) + b"1" + b"]" * (levels - 1) + b"}")
    assert problem.path.startswith("$.deep[0]")
    assert problem.expected == "at most 40 levels of nesting"


def test_the_size_limit_is_the_callers():
    problem = problem_of(b'{"a": 1}', max_bytes=7)
    assert (problem.value, problem.expected) == ("8 octets", "at most 7 octets")


def test_a_document_over_eight_mebibytes_is_refused_whoever_asks():
    assert problem_of(b" " * MAX_BYTES + b"1").expected == "at most 8388608 octets"


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"[" + b"1," * 2_000_000 + b"1]", id="two million values"),
        pytest.param(b"[" * 4_000_000, id="four million brackets"),
        pytest.param(b"[" + b"{}," * 1_000_000 + b"{}]", id="a million objects"),
        pytest.param(b'{"":' * 190_000, id="objects in objects"),
        pytest.param(b'{"a":' + b"7" * 4_000_000 + b"}", id="four million digits"),
        pytest.param(b'{"a":"' + b"\\n" * 2_000_000, id="two million escapes, cut off"),
        pytest.param(b"{" + b'"k":0,' * 190_000 + b'"k":0}', id="one name 190,000 times"),
    ],
)
def test_a_hostile_document_costs_little_memory(data: bytes):
    tracemalloc.start()
    try:
        problem_of(data)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 100 * 1024 * 1024


def test_a_key_used_as_a_name_is_not_repeated():
    problem = problem_of(f'{{"{KEY}":1,"{KEY}":2}}'.encode())
    assert KEY not in str(problem)
    assert problem.path == "$[(hidden)]"


def test_an_error_keeps_no_document_in_its_context():
    with pytest.raises(ReadError) as caught:
        decode(f'{{"networkKey":"{KEY}",'.encode())
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None


@given(st.binary(max_size=300))
def test_no_octets_raise_anything_but_a_read_error(data: bytes):
    with suppress(ReadError):
        decode(data)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**70), 2**70) | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=20,
)


def has_strange_number(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(has_strange_number, value.values()))
    if isinstance(value, list):
        return any(map(has_strange_number, value))
    if isinstance(value, float):
        return value != value or value in (float("inf"), float("-inf"))
    return isinstance(value, int) and not -(2**63) <= value < 2**64


@given(JSON)
def test_what_another_library_writes_is_read_alike_or_refused(value: object):
    data = json.dumps(value).encode()
    if has_strange_number(value):
        assert problem_of(data)
    else:
        assert decode(data) == json.loads(data)


@given(st.integers(0, 10**6), st.integers(0, 255))
def test_one_changed_octet_never_gives_a_traceback(place: int, octet: int):
    data = bytearray(making.octets(making.document(nodes=3)))
    data[place % len(data)] = octet
    with suppress(ReadError):
        decode(bytes(data))
