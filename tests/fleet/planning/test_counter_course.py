"""Breaks in the course of a counter (N10)."""

import random
from datetime import UTC, datetime, timedelta

import pytest

from fleet.mesh.counters import Evidence, EvidenceKind
from fleet.planning.counter_course import Turn, breaks

START = datetime(2027, 1, 1, 3, 0, tzinfo=UTC)
DAY = timedelta(days=1)
FRAMES_A_DAY = 259_200
"""3 a second."""


def seen(day: float, value: int, kind: EvidenceKind = EvidenceKind.SNAPSHOT) -> Evidence:
    return Evidence(value, START + DAY * day, kind)


def given(day: float, value: int) -> Evidence:
    return seen(day, value, EvidenceKind.RESTORE)


def dailies(count: int, first: int = 1_000_000) -> list[Evidence]:
    return [seen(day, first + day * FRAMES_A_DAY) for day in range(count)]


def found(*lines: Evidence) -> list[tuple[Turn, int]]:
    return [(each.turn, each.line.value) for each in breaks(lines)]


def test_a_counter_that_rises_evenly_has_no_break():
    assert found(*dailies(30)) == []


def test_no_line_and_one_line_have_no_break():
    assert (found(), found(seen(0, 5))) == ([], [])


def test_a_counter_that_begins_anew_fell():
    assert found(*dailies(10), seen(10, 12), seen(11, 259_212)) == [(Turn.FELL, 12)]


def test_a_fall_names_the_line_before_it():
    (one,) = breaks([*dailies(3), seen(3, 7)])
    assert one.before.value == 1_000_000 + 2 * FRAMES_A_DAY


def test_a_rise_that_nobody_could_have_sent_is_a_leap():
    lines = dailies(10)
    assert found(*lines, seen(10, lines[-1].value + 20_000_000)) == [
        (Turn.LEAPT, lines[-1].value + 20_000_000)
    ]


def test_a_radio_that_stores_its_counter_in_steps_does_not_leap():
    lines = dailies(10)
    assert found(*lines, seen(10, lines[-1].value + 65_536)) == []


def test_two_voices_fall_and_leap_in_turn():
    voices = [seen(10, 100), seen(10.5, 30_000_000), seen(11, 200), seen(11.5, 30_500_000)]
    turns = [turn for turn, _ in found(*dailies(10), *voices)]
    assert turns == [Turn.FELL, Turn.LEAPT, Turn.FELL, Turn.LEAPT]


def test_a_number_given_out_is_no_leap():
    """C1 by hand: 17,080,656 was written, the radio then ran two hours at 3/s."""
    assert found(*dailies(5), given(5, 17_080_656), seen(5.1, 17_102_256, EvidenceKind.CAPTURE)) == []


def test_a_number_given_out_and_used_days_later_is_no_leap():
    lines = dailies(8)
    assert found(*lines[:5], given(4.5, 17_000_000), *lines[5:], seen(8, 17_020_000)) == []


def test_of_two_numbers_given_out_the_one_in_use_counts():
    lines = dailies(5)
    assert found(*lines, given(5, 17_000_000), given(5.1, 18_000_000), seen(5.5, 17_030_000)) == []


def test_a_leap_past_a_number_given_out_is_still_a_leap():
    assert found(*dailies(5), given(5, 17_000_000), seen(5.1, 90_000_000)) == [(Turn.LEAPT, 90_000_000)]


def test_a_number_below_one_that_was_used_was_given_too_low():
    lines = dailies(40)
    assert found(*lines, given(40, 1_000_000)) == [(Turn.GIVEN_TOO_LOW, 1_000_000)]


def test_a_radio_put_back_with_its_old_counter_fell():
    lines = [
        *dailies(3),
        given(3, 17_080_656),
        seen(3.1, 17_102_256, EvidenceKind.CAPTURE),
        seen(10, 1_720_000),
    ]
    assert found(*lines) == [(Turn.FELL, 1_720_000)]


def test_a_line_with_a_clock_that_cannot_be_right_is_passed_over():
    ahead = Evidence(5, START + DAY * 900, landed_at=START + DAY * 3)
    assert found(*dailies(5), ahead) == []


def test_one_leap_does_not_make_itself_usual():
    assert found(*dailies(4), seen(4, 80_000_000), seen(5, 160_000_000)) == [
        (Turn.LEAPT, 80_000_000),
        (Turn.LEAPT, 160_000_000),
    ]


def test_the_order_of_lines_does_not_matter():
    lines = [*dailies(10), seen(10, 12)]
    assert breaks(lines[::-1]) == breaks(lines)


def _series(draw: random.Random) -> list[Evidence]:
    """A quiet year or less of one mesh: uneven days, missed copies, restarts, now and then a restore."""
    rate = draw.uniform(0.2, 4.0)
    value, day, lines = draw.randrange(0, 50_000_000), 0.0, []
    for _ in range(draw.randrange(20, 300)):
        step = draw.choice((1, 1, 1, 1, 2, 7)) + draw.uniform(-0.02, 0.02)
        value += int(rate * step * 86_400 * draw.uniform(0.6, 1.6))
        value += draw.choice((0,) * 20 + (65_536,))
        day += step
        lines.append(seen(day, value))
        if draw.random() < 0.01:
            value += int(2 * rate * step * 86_400) + 65_536
            lines.append(given(day + 0.1, value))
    return lines


def _broken(lines: list[Evidence], how: str) -> list[Evidence]:
    """The same with one anomaly in its middle."""
    middle = len(lines) // 2
    before, after = lines[:middle], lines[middle:]
    lost = after[0].value - 1
    moved = {
        "reset": [seen_at(line, line.value - lost) for line in after],
        "older file": [seen_at(line, line.value - before[-1].value // 2) for line in after],
        "leap": [seen_at(line, line.value + 40_000_000) for line in after],
        "second voice": [
            seen_at(line, line.value // 3) if place % 2 else line for place, line in enumerate(after)
        ],
        "given too low": [Evidence(before[-1].value // 2, after[0].at, EvidenceKind.RESTORE), *after],
    }
    return [*before, *moved[how]]


def seen_at(line: Evidence, value: int) -> Evidence:
    return Evidence(value, line.at, line.kind)


HOWS = ("reset", "older file", "leap", "second voice", "given too low")


@pytest.mark.parametrize("seed", range(5))
def test_five_anomalies_in_two_hundred_series_are_found_with_no_false_ones(seed: int):
    """N10: 5 seeded anomalies in 200 series, all five found, at most two false."""
    draw = random.Random(seed)
    series = [_series(draw) for _ in range(200)]
    spoiled = dict(zip(draw.sample(range(200), len(HOWS)), HOWS, strict=True))
    said = {
        place
        for place, lines in enumerate(series)
        if breaks(_broken(lines, spoiled[place]) if place in spoiled else lines)
    }
    assert set(spoiled) <= said
    assert len(said - set(spoiled)) <= 2
