"""The case of a storm, from rows: which homes are out, what fits them, who goes with which hours."""

from datetime import time

import pytest

from fleet.models import PlaceKind, Radio, RadioState
from fleet.planning.storm.asking import Asked, Strikes
from fleet.planning.storm.case import StormError
from fleet.queries.storm import case_of
from sites.models import Site, WorkingTime
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

HERE = {"base_latitude": "68.15000", "base_longitude": "14.20000"}


@pytest.fixture
def noor(db):
    """A technician near the homes, from 8 to 16 every day; NOW is a Friday at 8 in UTC, 9 in Oslo."""
    person = make.person(username="noor", first_name="Noor", time_zone="Europe/Oslo", **HERE)
    for weekday in range(7):
        WorkingTime.objects.create(person=person, weekday=weekday, begins=time(8), ends=time(16))
    return person


def asked(**given) -> Asked:
    return Asked(**{"strikes": Strikes.RANDOM, "people": ("noor",), **given})


def case(**given):
    return case_of(asked(**given), make.NOW).case


def test_a_mesh_brings_its_spares_with_the_verdict_and_the_record_of_the_pair(noor):
    mesh = covered_mesh()
    one = case().meshes[0]
    spare = Radio.objects.get(state=RadioState.SHELVED)
    assert (one.code, one.home, one.people, one.family) == (mesh.code, mesh.site.code, 1, "P")
    assert [(fit.spare, fit.rank, fit.way_minutes) for fit in one.fits] == [(spare.code, 0, 0.0)]
    assert one.fits[0].works == pytest.approx(0.05)  # 1 of 1: trade rule C8
    assert one.fits[0].restore is not None


def test_without_a_copy_there_is_nothing_to_try(noor):
    covered_mesh().snapshots.all().delete()
    assert case().meshes[0].fits[0].restore is None


def test_a_spare_that_is_not_proven_blank_does_not_count(noor):
    covered_mesh()
    Radio.objects.filter(state=RadioState.SHELVED).update(blank_proven_at=None)
    assert case().meshes[0].fits == ()


def test_where_somebody_needs_care_two_must_go(noor):
    covered_mesh()
    Site.objects.update(vulnerable_person=True)
    assert case().meshes[0].people == 2


def test_people_bring_their_hours_from_now_on(noor):
    covered_mesh()
    goer = case().goers[0]
    # From 9 to 16 in Oslo is the rest of Friday; Saturday begins 23 hours from now, and on Sunday clocks change.
    assert goer.shifts[0] == (0.0, 7 * 60.0)
    assert goer.shifts[1][0] == 23 * 60.0
    assert goer.shifts[2][0] == 46 * 60.0
    assert goer.shifts[-1][1] <= 15 * 1440


def test_who_has_no_base_or_no_hours_is_left_out_and_named(noor):
    covered_mesh()
    make.person(username="pekka", first_name="Pekka", **HERE)
    make.person(username="lucia", first_name="Lucia")
    found = case_of(asked(people=("noor", "pekka", "lucia")), make.NOW)
    assert [goer.code for goer in found.case.goers] == ["noor"]
    assert found.left_out == (
        "Lucia: nobody wrote down where their day begins",
        "Pekka: nobody wrote down when they work",
    )


def test_a_mesh_without_devices_is_left_out_and_named(noor):
    covered_mesh()
    other = make.mesh()
    assert case_of(asked(), make.NOW).left_out == (f"{other.code}: no device is on record",)


def test_a_spare_in_the_van_of_somebody_who_goes_is_theirs(noor):
    covered_mesh()
    van = make.place(holder=noor, latitude="68.15000", longitude="14.20000")
    Radio.objects.filter(state=RadioState.SHELVED).update(place=van)
    assert case().spares[0].holder == "noor"
    assert case(people=()).spares[0].holder == ""


def test_only_spares_of_the_places_that_count_are_there(noor):
    covered_mesh()
    shelf = make.place(code="SHELF-9", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000")
    build = Radio.objects.get(state=RadioState.SHELVED).firmware
    near = make.spare(firmware=build, place=shelf)
    make.spare(firmware=build, place=make.place(code="VAN-9", latitude="68.15000", longitude="14.20000"))
    assert len(case().spares) == 3
    codes = {spare.code for spare in case(places=("shelf-9",)).spares}
    assert near.code in codes
    assert len(codes) == 2  # and the one in the home


def test_a_storm_around_a_home_takes_the_nearest_within_the_radius(noor):
    middle = covered_mesh()
    Site.objects.filter(pk=middle.site_id).update(latitude="60.00000", longitude="10.00000")
    near, far = covered_mesh(), covered_mesh()
    Site.objects.filter(pk=near.site_id).update(latitude="60.10000", longitude="10.00000")
    Site.objects.filter(pk=far.site_id).update(latitude="61.00000", longitude="10.00000")
    around = {"strikes": Strikes.AROUND, "home": middle.site.code.lower(), "km": 20.0}
    assert {mesh.code for mesh in case(**around).meshes} == {middle.code, near.code}
    assert {mesh.code for mesh in case(**around, most=1).meshes} == {middle.code}


def test_a_storm_can_take_a_type_of_radio_or_homes_by_name(noor):
    one, other = covered_mesh(), covered_mesh()
    model = one.periods.get().radio.model.code
    assert {mesh.code for mesh in case(strikes=Strikes.MODEL, model=model).meshes} == {one.code}
    named = case(strikes=Strikes.NAMED, named=(other.site.code.lower(),))
    assert {mesh.code for mesh in named.meshes} == {other.code}


def test_a_storm_at_random_takes_the_same_homes_for_the_same_seed(noor):
    for _ in range(8):
        covered_mesh()

    def drawn(seed: int) -> set[str]:
        return {mesh.code for mesh in case(most=3, seed=seed).meshes}

    assert drawn(1) == drawn(1)
    assert len({frozenset(drawn(seed)) for seed in range(6)}) > 1
    assert len(drawn(1)) == 3


@pytest.mark.parametrize(
    ("given", "field", "told"),
    [
        ({"strikes": Strikes.AROUND, "home": "NONE-1"}, "home", "There is no home NONE-1"),
        ({"strikes": Strikes.MODEL, "model": "X9"}, "model", "There is no type of radio X9"),
        ({"strikes": Strikes.NAMED, "named": ("NONE-1",)}, "named", "There is no home NONE-1"),
        ({"people": ("ghost",)}, "people", "ghost is nobody who can be sent"),
        ({"places": ("LOFT-1",)}, "places", "There is no place LOFT-1"),
    ],
)
def test_what_the_book_does_not_have_is_named(noor, given, field, told):
    covered_mesh()
    with pytest.raises(StormError, match=told) as caught:
        case(**given)
    assert caught.value.field == field


def test_a_book_without_homes_has_no_storm(noor):
    with pytest.raises(StormError, match="No home with a mesh in care"):
        case()


def test_one_more_spare_of_each_family_and_one_more_person_are_tried(noor):
    mesh = covered_mesh()
    make.place(
        code="SHELF-9", name="Workshop", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000"
    )
    extras = case().extras
    build = mesh.periods.get().radio.firmware
    assert [extra.label for extra in extras] == [
        f"one more {build.model} with {build.version} (family P) at Workshop",
        "one more person with the base and hours of Noor",
    ]
    assert [code for code, _ in extras[0].fits] == [mesh.code]


def test_the_statements_are_as_many_for_many_as_for_one(noor, django_assert_max_num_queries):
    mesh = covered_mesh()
    with django_assert_max_num_queries(26):
        case()
    for _ in range(4):
        covered_mesh(key_mark=mesh.key_mark)
    with django_assert_max_num_queries(26):
        case()
