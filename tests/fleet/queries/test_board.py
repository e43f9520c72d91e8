"""Counting homes by their worst mesh, and the order of the rows."""

from datetime import date, timedelta

import pytest

from fleet.models import Currency, Custody, Grade, Mesh, RoundState
from fleet.planning.readiness import State
from fleet.queries.board import board_for, rows, tally_of
from sites.models import Role, Site
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 26)


@pytest.fixture
def reader():
    return make.person(role=Role.OWNER)


def test_a_home_counts_once_by_its_worst_mesh():
    home = make.site()
    make.mesh(site=home, readiness=State.COVERED)
    make.mesh(site=home, readiness=State.BARE)
    tally = tally_of(Site.objects.all())
    assert (tally.bare, tally.covered, tally.judged) == (1, 0, 1)


def test_a_mesh_out_of_care_decides_nothing():
    home = make.site()
    make.mesh(site=home, readiness=State.COVERED)
    make.mesh(site=home, readiness=State.BARE, in_care=False)
    tally = tally_of(Site.objects.all())
    assert (tally.bare, tally.covered) == (0, 1)


def test_a_home_without_a_mesh_is_counted_apart():
    make.site()
    assert tally_of(Site.objects.all()).without_mesh == 1


def test_rows_come_worst_first_and_safety_first_within():
    covered = make.mesh(readiness=State.COVERED, safety_relevant=True)
    thin = make.mesh(readiness=State.THIN)
    thin_with_locks = make.mesh(readiness=State.THIN, safety_relevant=True)
    unknown = make.mesh(readiness=State.UNKNOWN)
    bare = make.mesh(readiness=State.BARE)
    assert list(rows(Mesh.objects.all())) == [bare, unknown, thin_with_locks, thin, covered]


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
