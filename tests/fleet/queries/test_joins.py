"""The join rate of a mesh, from what its copies have shown."""

from datetime import timedelta

import pytest

from fleet.queries.joins import observed_joins
from fleet.verbs import round as rounds
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
YEAR = 365 * DAY


@pytest.fixture
def mesh():
    """Watched for two years up to yesterday, with one node from the beginning."""
    row = covered_mesh()
    make.snapshot(row, taken_at=make.NOW - 2 * YEAR)
    row.nodes.update(first_seen=make.NOW - 2 * YEAR)
    return row


def join(mesh, *days_ago):
    for days in days_ago:
        make.node(mesh, first_seen=make.NOW - days * DAY)


def test_twelve_joins_in_a_year_are_one_a_month(mesh):
    join(mesh, *range(20, 360, 29))
    assert observed_joins(mesh) == pytest.approx(1.0, abs=0.01)


def test_joins_of_before_last_year_do_not_count(mesh):
    join(mesh, 400, 500, 600)
    assert observed_joins(mesh) == 0


def test_a_node_that_joined_and_left_again_has_joined(mesh):
    make.node(mesh, first_seen=make.NOW - 60 * DAY, gone_since=make.NOW - 50 * DAY)
    assert observed_joins(mesh) == pytest.approx(1 / 12, abs=0.001)


def test_what_the_first_copy_shows_is_no_join():
    mesh = covered_mesh()
    make.snapshot(mesh, taken_at=make.NOW - 61 * DAY)
    join(mesh, 61, 61, 61, 30, 20)
    assert observed_joins(mesh) == pytest.approx(2 / (60 / 30.4375))


def test_under_a_month_of_copies_says_nothing():
    mesh = covered_mesh()
    make.snapshot(mesh, taken_at=make.NOW - 20 * DAY)
    assert observed_joins(mesh) is None


def test_a_mesh_without_a_sound_copy_says_nothing():
    assert observed_joins(make.mesh()) is None


def test_the_round_limits_the_age_of_copies_by_the_joins_it_sees(mesh):
    join(mesh, *range(20, 360, 29))

    rounds.run(lambda: make.NOW + 3 * DAY, by="test")

    mesh.refresh_from_db()
    assert mesh.joins_per_month == pytest.approx(1.0, abs=0.01)
    assert mesh.readiness_reason == "The newest sound snapshot is 4 days old; the limit is 3.2 days."


def test_the_round_keeps_what_people_know_where_it_sees_too_little():
    mesh = covered_mesh(joins_per_month=2.5)

    rounds.run(lambda: make.NOW, by="test")

    mesh.refresh_from_db()
    assert mesh.joins_per_month == 2.5
