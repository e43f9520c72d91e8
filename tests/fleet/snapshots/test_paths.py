"""Paths are written and followed; values are shown without secrets."""

import pytest

from fleet.snapshots.paths import show_path, shown, value_at

PATHS = [
    ("$", ()),
    ("$.nodes[3].link.key", ("nodes", 3, "link", "key")),
    ('$["odd name"][0]', ("odd name", 0)),
    ('$["a.b"].c_1', ("a.b", "c_1")),
]


@pytest.mark.parametrize(("text", "path"), PATHS)
def test_a_path_is_written(text: str, path: tuple[str | int, ...]):
    assert show_path(path) == text


@pytest.mark.parametrize(("path", "value"), [((), {"a": [5]}), (("a",), [5]), (("a", 0), 5)])
def test_the_value_at_a_path_is_found(path: tuple[str | int, ...], value: object):
    assert value_at({"a": [5]}, path) == value


@pytest.mark.parametrize("path", [("b",), (0,), ("a", 1), ("a", "0"), ("a", 0, 0), ("a", 0, "b")])
def test_a_path_that_leads_nowhere_is_said(path: tuple[str | int, ...]):
    with pytest.raises(LookupError):
        value_at({"a": ["5"]}, path)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "null"),
        (True, "true"),
        (15, "15"),
        (1.5, "1.5"),
        ({"a": 1}, "an object"),
        ([1, 2], "a list of 2"),
        ("1A2B", '"1A2B"'),
        ("02:A4:C1:38:F0:0D:00:11", '"02:A4:C1:38:F0:0D:00:11"'),
        ("a, b; " * 30, '"a, b; a, b; a, b; a, b; a, b; a, b; a, b..."'),
        ("a\x1b[31m\u202eb", '"a?[31m?b"'),
        ("4F1C9A3377E2B05D8C66A1F0D2935B7E", "(hidden)"),
        ("4F:1C:9A:33:77:E2:B0:5D:8C:66:A1:F0:D2:93:5B:7E", "(hidden)"),
        ("TxyaM3fisF2MZqHw0pNbfg==", "(hidden)"),
        (0x4F1C9A3377E2B05D8C66A1F0D2935B7E, "(hidden)"),
    ],
)
def test_a_value_is_shown_without_secrets(value: object, text: str):
    assert shown(value) == text
