"""Callbacks from rows: visits that were made, and replacements that were accepted."""

from datetime import timedelta

import pytest

from fleet.models import DrillKind, DrillResult, PlanDay, PlanStop, VisitState, VisitTask, VisitWork
from fleet.planning.replacing.states import State
from fleet.queries.replacing.callbacks import pair_callbacks, watch_of
from fleet.queries.spares import pair_records
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def builds():
    model = make.radio_model()
    return make.release(model, version="7.1"), make.release(model, version="7.2")


def accepted(mesh, builds, at=make.NOW):
    """A swap that was accepted, as the verb leaves it."""
    old, new = (
        make.radio(firmware=builds[0], state="silenced"),
        make.radio(firmware=builds[1], state="on_air"),
    )
    swap = make.replacement(mesh, state=State.ACCEPTED.value, old_radio=old, new_radio=new, asked_at=at - DAY)
    swap.moves.create(was=State.WAKING.value, became=State.ACCEPTED.value, at=at, by="Noor")
    tried(swap, at, DrillResult.PASSED, builds)
    return swap


def tried(swap, at, result, builds, **given):
    source, target = builds
    return make.drill(
        swap.mesh,
        kind=DrillKind.LIVE,
        result=result,
        done_at=at,
        radio=swap.new_radio,
        source_release=source,
        target_release=target,
        **given,
    )


def made(home, day, **given):
    ended = {"state": VisitState.DONE, "ended_at": make.NOW + day * DAY}
    return make.visit(home, **{**ended, **given})


def days_of(swap):
    return [round((each.at - make.NOW) / DAY) for each in watch_of(swap).callbacks]


def test_day_29_counts_and_day_31_does_not(builds):
    swap = accepted(make.mesh(), builds)
    made(swap.mesh.site, 29)
    made(swap.mesh.site, 31)
    made(swap.mesh.site, 5, state=VisitState.DROPPED)
    made(make.site(), 5)
    assert days_of(swap) == [29]


def test_a_swap_that_was_not_accepted_has_no_watch():
    assert watch_of(make.replacement(make.mesh())) is None


def test_its_own_visit_and_a_drill_do_not_count(builds):
    swap = accepted(make.mesh(), builds)
    for kind, replacement in ((VisitWork.SWAP, swap), (VisitWork.DRILL, None)):
        visit = made(swap.mesh.site, 1)
        visit.tasks.all().delete()
        VisitTask.objects.create(
            visit=visit, kind=kind, mesh=swap.mesh, replacement=replacement, is_open=False
        )
    assert days_of(swap) == []


def test_a_visit_that_was_noted_late_counts_from_its_day_in_the_plan(builds):
    swap = accepted(make.mesh(), builds)
    visit = made(swap.mesh.site, 33)
    at = make.NOW + 28 * DAY
    nought = timedelta(0)
    day = PlanDay.objects.create(
        plan=make.visit_plan(),
        technician=make.person(),
        day=at.date(),
        leave_at=at,
        back_at=at + DAY / 4,
        last_pause=nought,
        overtime=nought,
    )
    PlanStop.objects.create(
        day=day,
        visit=visit,
        number=1,
        pause=nought,
        leave_at=at,
        arrive_at=at,
        begin_at=at,
        end_at=at + DAY / 24,
        late=nought,
        in_force=True,
    )
    assert days_of(swap) == [28]


def test_two_meshes_of_one_home_keep_their_causes_apart(builds):
    home = make.site()
    first, second = accepted(make.mesh(site=home), builds), accepted(make.mesh(site=home), builds)
    visit = made(home, 3)
    visit.tasks.update(mesh=first.mesh)
    assert (days_of(first), days_of(second)) == ([3], [])


def test_the_record_of_a_pair_counts_swaps_that_were_called_back(builds, django_assert_max_num_queries):
    swaps = [accepted(make.mesh(), builds) for _ in range(3)]
    for day in (2, 9):
        made(swaps[0].mesh.site, day)
    with django_assert_max_num_queries(7):
        pair = pair_callbacks(swaps[0])
    assert (pair.accepted, pair.called_back) == (3, 1)
    # What a radio has on it by now does not move a swap to another pair.
    swaps[1].new_radio.firmware = builds[0]
    swaps[1].new_radio.save()
    assert pair_callbacks(swaps[1]).accepted == 3


def test_a_pair_of_which_a_build_is_not_known_has_none():
    mesh = make.mesh()
    swap = make.replacement(mesh, old_radio=make.radio(firmware=None), new_radio=make.spare())
    assert pair_callbacks(swap) is None


def test_a_swap_noted_both_ways_is_one_trial_that_failed(builds):
    """Stranded, then joined by hand and accepted: its pair of builds has proven nothing."""
    swap = accepted(make.mesh(), builds)
    copy = make.snapshot(swap.mesh)
    swap.mesh.drills.all().delete()
    tried(swap, make.NOW, DrillResult.FAILED, builds, snapshot=copy)
    tried(swap, make.NOW + DAY, DrillResult.PASSED, builds, snapshot=copy)
    record = pair_records()[builds[0].pk, builds[1].pk]
    assert (record.trials, record.passes) == (1, 0)
