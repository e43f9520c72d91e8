"""Counting homes by their worst mesh, and the order of the rows."""

from datetime import date, timedelta

import pytest

from fleet.models import Currency, Custody, DrillKind, DrillResult, Grade, Mesh, RoundState
from fleet.planning.readiness import State
from fleet.planning.standing import StandingCode
from fleet.queries.board import board_for, count_of, rows
from sites.models import Role, Site
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 26)


@pytest.fixture
def reader():
    return make.person(role=Role.OWNER)


def tally():
    return count_of(Site.objects.all(), Mesh.objects.filter(in_care=True))[0]


def test_a_home_counts_once_by_its_worst_mesh():
    home = make.site()
    make.mesh(site=home, readiness=State.COVERED)
    make.mesh(site=home, readiness=State.BARE)
    found = tally()
    assert (found.bare, found.covered, found.judged) == (1, 0, 1)


def test_a_mesh_out_of_care_decides_nothing():
    home = make.site()
    make.mesh(site=home, readiness=State.COVERED)
    make.mesh(site=home, readiness=State.BARE, in_care=False)
    found = tally()
    assert (found.bare, found.covered) == (0, 1)


def test_a_home_without_a_mesh_is_counted_apart():
    make.site()
    assert tally().without_mesh == 1


def test_rows_come_worst_first_and_safety_first_within():
    covered = make.mesh(readiness=State.COVERED, safety_relevant=True)
    thin = make.mesh(readiness=State.THIN)
    thin_with_locks = make.mesh(readiness=State.THIN, safety_relevant=True)
    unknown = make.mesh(readiness=State.UNKNOWN)
    bare = make.mesh(readiness=State.BARE)
    assert list(rows(Mesh.objects.all())) == [bare, unknown, thin_with_locks, thin, covered]


def failed_swap(mesh: Mesh, **given):
    return make.drill(mesh, **{"kind": DrillKind.LIVE, "result": DrillResult.FAILED, **given})


def test_a_stranded_mesh_and_then_a_shared_key_come_before_all_else(reader):
    bare = make.mesh(readiness=State.BARE, safety_relevant=True)
    shared = make.mesh(readiness=State.COVERED)
    make.finding(shared, code=StandingCode.SHARED_KEY)
    stranded = make.mesh(readiness=State.COVERED)
    swap = failed_swap(stranded)
    board = board_for(reader, TODAY, None, None)
    assert list(board.page) == [stranded, shared, bare]
    assert [mesh.stranded_since for mesh in board.page] == [swap.done_at, None, None]
    assert [mesh.key_shared for mesh in board.page] == [False, True, False]


def test_a_stranded_mesh_alone_is_found_without_a_shared_key(reader):
    make.mesh(readiness=State.BARE)
    stranded = make.mesh(readiness=State.COVERED)
    failed_swap(stranded)
    assert board_for(reader, TODAY, None, None).page[0] == stranded


@pytest.mark.parametrize("grade", [Grade.SEEN_LIVE, Grade.PROVEN])
def test_devices_that_were_heard_since_end_a_strand(reader, grade):
    mesh = make.mesh()
    swap = failed_swap(mesh)
    make.snapshot(mesh, grade=grade, taken_at=swap.done_at + timedelta(hours=1))
    assert board_for(reader, TODAY, None, None).incidents.stranded == {}


@pytest.mark.parametrize(
    "copy",
    [{"grade": Grade.SOUND}, {"grade": Grade.SEEN_LIVE, "currency": Currency.LOCKED_OUT}],
    ids=["not heard", "under another key"],
)
def test_a_copy_that_proves_nothing_ends_no_strand(reader, copy):
    mesh = make.mesh()
    swap = failed_swap(mesh)
    make.snapshot(mesh, taken_at=swap.done_at + timedelta(hours=1), **copy)
    assert board_for(reader, TODAY, None, None).incidents.stranded == {mesh.pk: swap.done_at}


def test_a_later_swap_that_went_well_ends_a_strand(reader):
    mesh = make.mesh()
    swap = failed_swap(mesh)
    failed_swap(mesh, result=DrillResult.PASSED, done_at=swap.done_at + timedelta(hours=1))
    assert board_for(reader, TODAY, None, None).incidents.stranded == {}


def test_a_failed_drill_on_the_bench_strands_nobody(reader):
    failed_swap(make.mesh(), kind=DrillKind.BENCH)
    assert board_for(reader, TODAY, None, None).incidents.stranded == {}


def test_incidents_of_homes_that_are_not_open_stay_unsaid():
    mine = make.mesh()
    failed_swap(make.mesh())
    assert board_for(make.subcontractor(mine.site), TODAY, None, None).incidents.stranded == {}


@pytest.mark.parametrize(
    "unusable",
    [
        {"grade": Grade.HELD},
        {"currency": Currency.LOCKED_OUT},
        {"custody": Custody.GONE, "gone_at": make.NOW},
    ],
    ids=["held", "locked out", "erased"],
)
def test_a_copy_that_cannot_bring_the_mesh_back_is_not_its_newest_sound_one(unusable):
    mesh = make.mesh()
    sound = make.snapshot(mesh, taken_at=make.NOW - timedelta(days=9))
    make.snapshot(mesh, taken_at=make.NOW - timedelta(days=1), **unusable)
    assert rows(Mesh.objects.all()).get().newest_sound_at == sound.taken_at


def test_age_counts_from_capture_not_from_arrival():
    mesh = make.mesh()
    newest = make.snapshot(mesh, taken_at=make.NOW - timedelta(days=2))
    make.snapshot(mesh, taken_at=make.NOW - timedelta(days=30), received_at=make.NOW)
    assert rows(Mesh.objects.all()).get().newest_sound_at == newest.taken_at


def test_the_board_of_a_subcontractor_holds_only_their_homes():
    mine = make.mesh(readiness=State.THIN)
    make.mesh(readiness=State.BARE)
    board = board_for(make.subcontractor(mine.site), TODAY, None, None)
    assert (list(board.page), board.tally.bare) == ([mine], 0)


def test_the_board_is_doubtful_when_rounds_have_stopped(reader):
    make.mesh()
    make.round_(started_at=make.NOW - timedelta(hours=4))
    assert board_for(reader, TODAY, None, None).is_doubtful(make.NOW)


def test_the_board_is_not_doubtful_after_a_round_within_the_hour(reader):
    make.mesh()
    make.round_(started_at=make.NOW - timedelta(minutes=50))
    assert not board_for(reader, TODAY, None, None).is_doubtful(make.NOW)


def test_the_board_is_doubtful_when_the_last_round_broke_off(reader):
    make.mesh()
    make.round_(started_at=make.NOW - timedelta(minutes=50), state=RoundState.BROKEN)
    assert board_for(reader, TODAY, None, None).is_doubtful(make.NOW)


def test_an_empty_book_has_first_steps(reader):
    client = make.client()
    steps = board_for(reader, TODAY, None, None).steps
    assert (steps.client, steps.site) == (client, None)
