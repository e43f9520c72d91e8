"""A home as one page."""

from datetime import date, timedelta

import pytest

from fleet.models import RadioState
from fleet.queries.folder import folder_of
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 26)


def test_spares_are_the_radios_in_the_home_that_lead_no_mesh():
    home = make.site()
    place = make.place_at(home)
    spare = make.spare(place=place)
    make.radio(place=place, state=RadioState.ON_AIR)
    make.spare(place=make.place())
    assert folder_of(home, TODAY).spares == [spare]


def test_only_the_newest_five_copies_of_each_mesh_are_shown():
    mesh = make.mesh()
    copies = [make.snapshot(mesh, taken_at=make.NOW - timedelta(days=days)) for days in range(7)]
    [shown] = folder_of(mesh.site, TODAY).meshes
    assert shown.newest == copies[:5]


def test_the_head_radio_is_the_one_in_service():
    mesh = make.mesh()
    make.service(mesh, since=make.NOW - timedelta(days=900), until=make.NOW - timedelta(days=500))
    now_in_service = make.service(mesh, make.radio(), since=make.NOW - timedelta(days=400))
    [shown] = folder_of(mesh.site, TODAY).meshes
    assert shown.heads == [now_in_service]


def test_a_device_that_left_guards_nobody():
    mesh = make.mesh()
    make.node(mesh, safety_kind="smoke", gone_since=make.NOW)
    lock = make.node(mesh, safety_kind="lock")
    assert folder_of(mesh.site, TODAY).safety_devices == [lock]


def test_an_agreement_that_ended_is_still_shown():
    home = make.site()
    ended = make.agreement(home, ends_on=date(2027, 1, 1))
    assert folder_of(home, TODAY).agreement == ended


def test_a_replaced_sheet_is_not_in_force():
    home = make.site()
    old = make.sheet(home)
    new = make.sheet(home, revision=2, replaces=old)
    assert folder_of(home, TODAY).sheets == [new]


def test_the_worst_mesh_in_care_speaks_for_the_home():
    home = make.site()
    make.mesh(site=home, readiness="covered")
    thin = make.mesh(site=home, readiness="thin")
    make.mesh(site=home, readiness="bare", in_care=False)
    assert folder_of(home, TODAY).worst == thin


def _furnish(home, meshes: int) -> None:
    make.place_at(home)
    make.agreement(home)
    for _ in range(meshes):
        mesh = make.mesh(site=home, best_spare=make.spare(place=make.place()))
        make.service(mesh)
        make.sheet(home, mesh)
        for days in range(6):
            make.snapshot(mesh, taken_at=make.NOW - timedelta(days=days))
        for _ in range(3):
            make.node(mesh, safety_kind="lock")
            make.contact(home)
            make.spare(place=home.place)


@pytest.mark.parametrize("meshes", [1, 4])
def test_a_folder_takes_eleven_statements_whatever_the_home_holds(django_assert_num_queries, meshes):
    home = make.site()
    _furnish(home, meshes)
    with django_assert_num_queries(11):
        folder_of(home, TODAY)
