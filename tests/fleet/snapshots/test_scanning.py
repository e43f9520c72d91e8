"""Every value of a document is found at its place, as another library sees it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.snapshots.scanning import ScanError, scan

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=20,
)


def scanned(data: bytes, scalars: int = 1000, levels: int = 100):
    return [
        (found.path, data[found.start : found.end])
        for found in scan(data, most_scalars=scalars, most_levels=levels)
    ]


def walked(value: object, path: tuple[str | int, ...] = ()):
    """The same by plain recursion over the decoded value."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from walked(inner, (*path, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from walked(inner, (*path, index))
    else:
        yield path, value


@given(JSON, st.sampled_from([None, 0, 3]), st.booleans())
def test_scalars_are_found_as_another_library_sees_them(value: object, indent: int | None, ascii_only: bool):
    data = json.dumps(value, indent=indent, ensure_ascii=ascii_only).encode("utf-8", "surrogatepass")
    found = [(path, json.loads(token)) for path, token in scanned(data)]
    assert found == list(walked(json.loads(data)))


def test_empty_containers_hold_no_scalars():
    assert scanned(b'[{}, [], [ ], {"a": []}, 1]') == [((4,), b"1")]


def test_the_scan_ends_after_as_many_scalars_as_were_asked_for():
    assert scanned(b"[1,2,3,4", scalars=2) == [((0,), b"1"), ((1,), b"2")]


def test_a_fault_names_its_path_and_octet():
    with pytest.raises(ScanError) as caught:
        scanned(b'{"a":{"b":[1,oops]}}')
    assert (caught.value.path, caught.value.start) == (("a", "b", 1), 13)


def test_deep_nesting_is_a_fault():
    with pytest.raises(ScanError, match="at most 3 levels"):
        scanned(b"[[[[1]]]]", levels=3)
