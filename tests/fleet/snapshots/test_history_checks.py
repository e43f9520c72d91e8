"""Counters, epochs and lists held against the last sound copy: the edges, and what must stay quiet."""

import random
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.checking import Code, Context, before_of, check
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.history_checks import Before
from tests.fleet.snapshots import making

MARK, OTHER_MARK = b"m" * 32, b"o" * 32
NOW = own_layout.read(making.document(seed=3, nodes=20))


def codes(facts: SnapshotFacts, before: Before, mark: bytes | None = MARK, **given: object) -> list[Code]:
    return [found.code for found in check(facts, Context(key_mark=mark, before=before, **given))]


def earlier(hours: float, **given: object) -> Before:
    then = replace(NOW, taken_at=making.TAKEN - timedelta(hours=hours))
    return replace(before_of(then, MARK), **given)


def test_the_last_copy_is_told_without_secrets():
    before = before_of(NOW, MARK)
    assert before == Before(
        taken_at=making.TAKEN,
        outgoing_counter=NOW.outgoing_counter,
        key_sequence=NOW.key_sequence,
        key_mark=MARK,
        addresses=frozenset(node.extended_address for node in NOW.nodes),
    )


def test_a_sequence_from_255_to_0_is_a_new_epoch():
    facts = replace(NOW, key_sequence=0)
    assert codes(facts, earlier(24, key_sequence=255), OTHER_MARK) == [Code.KEY_EPOCH_CHANGED]


def test_an_older_copy_with_sequence_255_that_lands_after_the_rotation_is_older_and_nothing_else():
    rotated = replace(earlier(-0.2, key_sequence=0), key_mark=OTHER_MARK)
    facts = replace(NOW, key_sequence=255)
    assert codes(facts, rotated) == [Code.OLDER_THAN_BEFORE]


def test_a_later_copy_with_an_earlier_sequence_is_a_finding():
    assert codes(replace(NOW, key_sequence=255), earlier(24, key_sequence=0)) == [Code.KEY_EPOCH_BEHIND]


def test_a_counter_that_starts_anew_under_a_new_key_has_not_fallen():
    facts = replace(NOW, outgoing_counter=12, key_sequence=(NOW.key_sequence + 1) % 256)
    assert codes(facts, earlier(24), OTHER_MARK) == [Code.KEY_EPOCH_CHANGED]


def test_an_older_copy_may_have_a_lower_counter():
    later = earlier(-24, outgoing_counter=NOW.outgoing_counter + 1000)
    assert codes(NOW, later) == [Code.OLDER_THAN_BEFORE]


def test_an_older_copy_with_a_higher_counter_shows_a_fall():
    later = earlier(-24, outgoing_counter=NOW.outgoing_counter - 1)
    assert codes(NOW, later) == [Code.COUNTER_FELL, Code.OLDER_THAN_BEFORE]


def test_a_counter_falls_even_where_times_are_unknown():
    before = earlier(24, taken_at=None, outgoing_counter=NOW.outgoing_counter + 1)
    assert codes(NOW, before) == [Code.COUNTER_FELL]


@pytest.mark.parametrize(("mark", "mark_before"), [(None, None), (MARK, None), (None, MARK)])
def test_without_both_key_marks_the_sequence_alone_tells_the_key(
    mark: bytes | None, mark_before: bytes | None
):
    before = earlier(24, key_mark=mark_before, outgoing_counter=NOW.outgoing_counter + 1)
    assert codes(NOW, before, mark=mark) == [Code.COUNTER_FELL]


@pytest.mark.parametrize(
    ("rise", "found"),
    [
        # 65,536 for counters stored in steps, and 200 frames a second for an hour: 785,536.
        pytest.param(785_536, [], id="as fast as a mesh can send"),
        pytest.param(785_537, [Code.COUNTER_JUMPED], id="one frame faster"),
    ],
)
def test_a_counter_that_rises_faster_than_a_mesh_can_send_has_jumped(rise: int, found: list[Code]):
    assert codes(NOW, earlier(1, outgoing_counter=NOW.outgoing_counter - rise)) == found


@pytest.mark.parametrize(
    ("rise", "found"),
    [
        # 65,536, and ten times the usual 0.5 a second for an hour: 83,536.
        pytest.param(83_536, [], id="ten times the usual"),
        pytest.param(83_537, [Code.COUNTER_JUMPED], id="more than ten times"),
    ],
)
def test_a_known_rate_makes_the_check_sharper(rise: int, found: list[Code]):
    before = earlier(1, outgoing_counter=NOW.outgoing_counter - rise)
    assert codes(NOW, before, usual_rate=0.5) == found


@pytest.mark.parametrize("since_grant", [0, 500])
def test_a_jump_to_a_granted_number_is_explained(since_grant: int):
    before = earlier(1, outgoing_counter=NOW.outgoing_counter - 20_000_000)
    assert codes(NOW, before, highest_granted=NOW.outgoing_counter - since_grant) == []


def test_a_grant_above_the_counter_explains_nothing():
    before = earlier(1, outgoing_counter=NOW.outgoing_counter - 20_000_000)
    assert codes(NOW, before, highest_granted=NOW.outgoing_counter + 1) == [Code.COUNTER_JUMPED]


@pytest.mark.parametrize(("hours", "found"), [(0, []), (0.99, []), (1, [Code.COUNTER_STOOD_STILL])])
def test_a_counter_that_has_not_moved_for_an_hour_stands_still(hours: float, found: list[Code]):
    assert codes(NOW, earlier(hours)) == found


@pytest.mark.parametrize(
    ("kept", "found"),
    [
        pytest.param(16, [], id="a fifth has gone"),
        pytest.param(15, [Code.LIST_SHRUNK], id="more than a fifth has gone"),
    ],
)
def test_more_than_a_fifth_gone_is_a_shrunken_list(kept: int, found: list[Code]):
    facts = replace(NOW, nodes=NOW.nodes[:kept], outgoing_counter=NOW.outgoing_counter)
    nodes = tuple(replace(node, parent=None) for node in facts.nodes)
    before = earlier(24, outgoing_counter=NOW.outgoing_counter - 1000)
    assert codes(replace(facts, nodes=nodes), before) == found


def test_a_new_short_address_alone_is_no_change_of_the_list():
    nodes = tuple(replace(node, short_address=(node.short_address or 0) ^ 1) for node in NOW.nodes)
    before = earlier(24, outgoing_counter=NOW.outgoing_counter - 1000)
    assert codes(replace(NOW, nodes=nodes), before) == []


def test_a_clock_ahead_by_five_minutes_is_let_pass():
    received = making.TAKEN - timedelta(minutes=5)
    assert check(NOW, Context(received_at=received)) == ()


def series(seed: int, days: int = 30) -> list[tuple[datetime, int]]:
    """Counters of a mesh read daily, at some steady rate between 0.2 and 10 frames a second."""
    draw = random.Random(seed)
    rate, value, taken, read = draw.uniform(0.2, 10), draw.randrange(10**6, 10**8), making.TAKEN, []
    for _ in range(days):
        read.append((taken, value))
        seconds = 86_400 + draw.randrange(-600, 600)
        value += int(seconds * rate * draw.uniform(0.5, 2))
        taken += timedelta(seconds=seconds)
    return read


def suspicious(read: list[tuple[datetime, int]]) -> bool:
    copies = [replace(NOW, taken_at=taken, outgoing_counter=value, nodes=()) for taken, value in read]
    counter = {Code.COUNTER_FELL, Code.COUNTER_JUMPED, Code.COUNTER_STOOD_STILL}
    return any(counter & set(codes(later, before_of(first, MARK))) for first, later in pairwise(copies))


def test_five_anomalies_among_two_hundred_series_are_found_and_none_else():
    histories = {seed: series(seed) for seed in range(200)}
    taken = [moment for moment, _ in histories[0]]
    histories[20][15:] = [(when, value - 10**6 * 50) for when, value in histories[20][15:]]  # an old file
    histories[60][15:] = [(when, value + 10**8) for when, value in histories[60][15:]]  # written anew
    histories[100][15:] = [(when, value % 10**5) for when, value in histories[100][15:]]  # re-formed
    histories[140] = [(when, histories[140][at // 2 * 2][1]) for at, when in enumerate(taken)]  # sent again
    histories[180][10:20:2] = [(when, value + 10**8) for when, value in histories[180][10:20:2]]  # two voices
    assert {seed for seed, read in histories.items() if suspicious(read)} == {20, 60, 100, 140, 180}
