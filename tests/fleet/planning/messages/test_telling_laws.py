"""Laws of urgent messages over any history of a home: never two for one trouble within a day, and none lost."""

from datetime import timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.messages.standing import NO_TROUBLE, Standing, Trouble
from fleet.planning.messages.telling import URGENT, Told, urgent
from fleet.planning.readiness import State
from tests.fleet.planning.messages.standings import NOW, bare, standing

DAY = timedelta(hours=24)
MESHES = {
    "stranded": standing(stranded=True, safety=True),
    "bare": bare(safety=True),
    "thin": standing(state=State.THIN, safety=True),
    "well": standing(safety=True),
}
STEPS = st.lists(st.tuples(st.integers(5, 600), st.sampled_from(sorted(MESHES))), min_size=1, max_size=60)


def told_over(steps: list[tuple[int, str]]) -> list[tuple[object, Standing, bool]]:
    """Each look at the home: when, how it stood, and whether it was told. Notes are kept as verbs.tell keeps them."""
    now, notes, looks = NOW, {}, []
    for minutes, name in steps:
        now += timedelta(minutes=minutes)
        mesh = MESHES[name]
        news = urgent([mesh], notes, now)
        for code, note in notes.items():
            notes[code] = Told(note.trouble, note.at, max(note.mildest, mesh.severity))
        if news:
            notes[mesh.code] = Told(mesh.trouble, now, mesh.severity)
        looks.append((now, mesh, bool(news)))
    return looks


@given(STEPS)
def test_the_same_trouble_of_a_home_is_never_told_twice_within_a_day(steps):
    last: dict[Trouble, object] = {}
    for now, mesh, was_told in told_over(steps):
        if was_told:
            assert now - last.get(mesh.trouble, now - DAY) >= DAY
            last[mesh.trouble] = now


@given(STEPS)
def test_a_flapping_home_sends_at_most_two_a_day_and_the_second_only_because_it_got_worse(steps):
    looks = [(now, mesh) for now, mesh, was_told in told_over(steps) if was_told]
    for (first, before), (second, after) in pairwise(looks):
        if second - first < DAY:
            assert after.severity < before.severity


@given(STEPS)
def test_no_trouble_that_stays_is_left_untold_for_longer_than_a_day(steps):
    looks = told_over(steps)
    for place, (now, mesh, _) in enumerate(looks):
        if mesh.trouble not in URGENT:
            continue
        # Since the home was last milder than it is now, or within the last day, it was told to be at least this bad.
        since = max((at for at, each, _ in looks[:place] if each.severity > mesh.severity), default=NOW)
        reach = min(since, now - DAY)
        assert any(
            was_told and at > reach and each.severity <= mesh.severity
            for at, each, was_told in looks[: place + 1]
        )


@given(STEPS)
def test_what_is_not_urgent_is_never_told_at_once(steps):
    assert all(
        mesh.severity <= Trouble.BARE.severity < NO_TROUBLE
        for _, mesh, was_told in told_over(steps)
        if was_told
    )
