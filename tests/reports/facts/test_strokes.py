"""What is taken for a drawn signature, and what is not."""

import json

import pytest

from reports.facts.strokes import HEIGHT, MOST_POINTS, MOST_STROKES, WIDTH, StrokesError, read_strokes

NAME = [[10, 20, 30, 40, 50, 60, 70, 80], [0, 0, WIDTH, HEIGHT, 5, 5, 6, 6]]


def test_strokes_within_the_box_are_taken_as_they_are():
    assert read_strokes(json.dumps(NAME)) == (tuple(NAME[0]), tuple(NAME[1]))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not JSON"),
        ("[" * 50_000, "not JSON"),
        ('{"a": 1}', "a list of at most"),
        ("[1, 2]", "x and y in turn"),
        ("[[1, 2, 3]]", "x and y in turn"),
        ("[[]]", "x and y in turn"),
        ('[["1", "2"]]', "lies outside"),
        ("[[true, false]]", "lies outside"),
        ("[[1.5, 2]]", "lies outside"),
        (f"[[{WIDTH + 1}, 0]]", "lies outside"),
        (f"[[0, {HEIGHT + 1}]]", "lies outside"),
        ("[[-1, 0]]", "lies outside"),
        ("[[1, 2, 3, 4]]", "2 points"),
        (json.dumps([[1, 1]] * (MOST_STROKES + 1)), "at most"),
        (json.dumps([[1, 1] * (MOST_POINTS + 1)]), f"{MOST_POINTS + 1} points"),
        ("[" + " " * 70_000 + "]", "characters"),
        ("[[1e999, 0]]", "lies outside"),
        ("[[NaN, 0]]", "lies outside"),
    ],
)
def test_what_is_no_drawing_is_refused_with_what_would_be_right(text, said):
    with pytest.raises(StrokesError, match=said) as refused:
        read_strokes(text)
    assert len(str(refused.value)) < 200
