"""What shares a cause is told together."""

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.messages.causes import STRETCH, by_cause
from fleet.planning.messages.standing import Trouble
from fleet.planning.readiness import GateName, State
from tests.fleet.planning.messages.standings import NOW, bare, stale, standing


def test_thirty_homes_stale_by_one_outage_are_one_group_of_thirty():
    outage = NOW - timedelta(days=9)
    homes = [stale(n, newest_sound_at=outage - timedelta(minutes=47 * n)) for n in range(1, 31)]

    groups = by_cause(homes)

    assert [len(group.members) for group in groups] == [30]
    assert groups[0].cause.gate is GateName.FRESH
    assert groups[0].cause.since == outage - timedelta(minutes=47)


def test_homes_that_went_silent_in_different_weeks_have_different_causes():
    weeks = [stale(1), stale(2, newest_sound_at=NOW - timedelta(days=20))]

    assert [len(group.members) for group in by_cause(weeks)] == [1, 1]


def test_missing_spares_are_told_by_radio_family():
    groups = by_cause([bare(1), bare(2, family="R"), bare(3)])

    assert {group.cause.family: len(group.members) for group in groups} == {"P": 2, "R": 1}


def test_the_age_of_copies_does_not_divide_homes_that_lack_a_spare():
    old, new = NOW - timedelta(days=40), NOW

    assert len(by_cause([bare(1, newest_sound_at=old), bare(2, newest_sound_at=new)])) == 1


def test_homes_without_any_copy_share_a_cause():
    without = [bare(n, gate=GateName.SNAPSHOT, newest_sound_at=None) for n in (1, 2)]

    (group,) = by_cause(without)

    assert (len(group.members), group.cause.since) == (2, None)


def test_a_stranded_mesh_is_told_as_that_whatever_its_gates_say():
    (group,) = by_cause([standing(stranded=True, state=State.COVERED)])

    assert group.cause.trouble is Trouble.STRANDED
    assert group.cause.gate is None


def test_groups_come_worst_first():
    found = by_cause(
        [stale(1), standing(2, state=State.UNKNOWN, gate=GateName.BASICS), bare(3), bare(4, stranded=True)]
    )

    assert [group.cause.trouble for group in found] == list(Trouble)


def test_what_is_well_is_in_no_group():
    assert by_cause([standing(1), standing(2, state=State.COVERED_WITH_HANDWORK)]) == ()


TROUBLED = st.builds(
    lambda number, hours, gate, state: standing(
        number,
        state=state,
        gate=gate,
        newest_sound_at=None if hours is None else NOW - timedelta(hours=hours),
    ),
    st.integers(1, 60),
    st.none() | st.integers(0, 500),
    st.sampled_from(list(GateName)),
    st.sampled_from(list(State)),
)


@given(st.lists(TROUBLED, max_size=40, unique_by=lambda each: each.code), st.randoms())
def test_every_mesh_in_trouble_is_in_exactly_one_group_in_whatever_order_it_came(meshes, chance):
    shuffled = list(meshes)
    chance.shuffle(shuffled)

    groups = by_cause(meshes)

    told = [each.code for group in groups for each in group.members]
    assert sorted(told) == sorted(each.code for each in meshes if each.trouble)
    assert by_cause(shuffled) == groups


@given(st.lists(TROUBLED, max_size=40, unique_by=lambda each: each.code))
def test_the_copies_of_a_group_lie_within_one_stretch(meshes):
    for group in by_cause(meshes):
        if group.cause.since is not None:
            taken = [each.newest_sound_at for each in group.members if each.newest_sound_at]
            assert max(taken) == group.cause.since
            assert max(taken) - min(taken) <= STRETCH
