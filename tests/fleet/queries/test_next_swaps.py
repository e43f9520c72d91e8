"""What each mesh brings into the order of swaps, from rows: the same facts as everywhere else, and few statements."""

from datetime import date, timedelta

import pytest

from fleet.mesh.capacity import Limit, Resource, Room, room_of
from fleet.models import Mesh, PlaceKind, Radio, RadioState
from fleet.planning.outage import Outage
from fleet.planning.priority import Act, Growth, SwapFacts
from fleet.queries.next_swaps import Weighing, as_data, facts_from, growth_of
from fleet.queries.outages import Outages
from fleet.queries.spares import SpareShelf
from fleet.queries.stands import meshes_of
from fleet.verbs.rank_swaps import say_support
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


def weighed(*meshes: Mesh, now=make.NOW):
    found = Weighing.load(now).weigh(meshes_of([mesh.pk for mesh in meshes]))
    assert not found.troubles
    return found.rows


def facts_of(mesh: Mesh) -> SwapFacts:
    return weighed(mesh)[0].facts


@pytest.fixture
def mesh() -> Mesh:
    """Covered; one radio of its family has served 400 days, which is 1.0951 years, and never failed."""
    return covered_mesh()


def test_the_chance_is_the_upper_bound_of_the_years_in_service(mesh):
    """0 in 400 days: chi-square(0.95, 2) / 2 = 2.9957 in 1.0951 years."""
    row = weighed(mesh)[0]
    assert row.facts.failures_a_year == pytest.approx(2.9957 / (400 / 365.25), rel=1e-4)
    assert row.told["chance"].startswith(
        "family P: 0 failed in 1.1 radio-years, so at most 273.6 of 100 a year"
    )


def test_outage_and_joining_are_those_of_the_what_if(mesh):
    """One battery device: 3, 4, 8 min, twice in 5, 10, 25 % of cases, 1, 1.5, 3 min to link: no restore beats it."""
    row = weighed(mesh)[0]
    outage = Outages.load(make.NOW)
    assert isinstance(outage.pool(SpareShelf.load(), 14).there, dict)
    assert row.facts.joining_hours * 60 == pytest.approx((4.15 + 4 * 5.9 + 13) / 6)
    assert row.facts.outage_hours == pytest.approx(row.facts.joining_hours)
    assert row.facts.spared == 0
    assert row.told["joining"] == "1 device, minutes by its class"


def test_a_large_home_whose_pair_was_tried_is_spared_some_joining():
    mesh = covered_mesh()
    for _ in range(40):
        make.node(mesh, link_key_kind="unique", link_key_held=True)
    build = mesh.periods.get().radio.firmware
    for _ in range(20):
        make.drill(mesh, source_release=build, target_release=build)
    facts = facts_of(mesh)
    # 21 of 21: the lower bound is 0.05 ** (1 / 21) = 0.867; what is spared is that share of 41 devices.
    assert facts.spared == pytest.approx(0.05 ** (1 / 21), abs=0.01)
    assert 0 < facts.outage_hours < facts.joining_hours


def test_a_home_without_a_copy_is_first_helped_by_a_snapshot(mesh):
    mesh.snapshots.all().delete()
    row = weighed(mesh)[0]
    assert row.facts.act is Act.SNAPSHOT
    assert row.told["act"] == f"Take a snapshot at {mesh.code} and send it in."


def test_a_home_without_a_spare_first_wants_one(mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    row = weighed(mesh)[0]
    assert row.facts.act is Act.SPARE
    assert row.told["act"].startswith("Get a spare that fits")


def test_a_covered_home_is_simply_swapped(mesh):
    row = weighed(mesh)[0]
    assert (row.facts.act, row.told["act"]) == (Act.SWAP, "")


def test_nothing_known_is_nothing_invented():
    bare = make.mesh(site=make.site(latitude=None, longitude=None))
    facts = facts_of(bare)
    assert (facts.failures_a_year, facts.outage_hours, facts.joining_hours) == (None, None, None)
    assert (facts.safety, facts.growth, facts.support_days, facts.way_hours) == (
        None,
        Growth.UNKNOWN,
        None,
        None,
    )


def test_a_kind_that_has_served_no_time_has_no_rate():
    mesh = make.mesh()
    make.service(mesh, since=make.NOW)
    row = weighed(mesh)[0]
    assert row.facts.failures_a_year is None
    assert row.told["chance"] == "family P has served no time yet, so nobody can say"


def test_a_home_whose_devices_are_known_has_safety_devices_or_not(mesh):
    assert facts_of(mesh).safety is False
    Mesh.objects.update(safety_relevant=True)
    assert facts_of(mesh).safety is True


def test_support_counts_from_what_somebody_said(mesh):
    model = mesh.periods.get().radio.model
    assert weighed(mesh)[0].told["support"] == f"nobody wrote down until when {model} is supported"
    say_support(model, date(2027, 6, 4), "the maker's letter of May", "Orla", make.NOW)
    row = weighed(mesh)[0]
    assert row.facts.support_days == 70
    assert row.told["support"] == f"{model} is supported until 2027-06-04: the maker's letter of May"


def test_the_way_is_from_the_nearest_base_and_shared_with_neighbours(mesh):
    assert weighed(mesh)[0].facts.way_hours is None
    make.place(name="Far shelf", kind=PlaceKind.SHELF, latitude="60.00000", longitude="10.00000")
    make.place(name="Near van", latitude="68.20000", longitude="14.30000")
    near = covered_mesh()
    rows = weighed(mesh, near)
    assert rows[0].told["way"] == "from Near van, 7 km over the ground"
    assert 0 < rows[0].facts.way_hours < 1
    assert rows[0].facts.hops_hours == (0.0,)


def test_a_base_of_a_person_counts_as_well(mesh):
    make.person(first_name="Noor", last_name="V", base_latitude="68.15000", base_longitude="14.20000")
    assert weighed(mesh)[0].told["way"] == "from the base of Noor V, 0 km over the ground"


def test_where_nobody_would_drive_no_way_is_counted(mesh):
    make.place(name="Shelf", kind=PlaceKind.SHELF, latitude="-43.00000", longitude="170.00000")
    row = weighed(mesh)[0]
    assert row.facts.way_hours == 0.0
    assert "too far to drive" in row.told["way"]


@pytest.mark.parametrize(
    ("used", "limits", "growth"),
    [
        ({}, {}, Growth.FREE),
        ({Resource.CHILDREN: 46}, {}, Growth.EASED),
        ({Resource.LINK_KEYS: 46}, {}, Growth.STOPPED),
        ({Resource.CHILDREN: 46, Resource.LINK_KEYS: 46}, {}, Growth.STOPPED),
        ({Resource.CHILDREN: 46}, {Resource.ROUTES: None}, Growth.UNKNOWN),
        ({Resource.LINK_KEYS: 46}, {Resource.ROUTES: None}, Growth.STOPPED),
        ({}, {Resource.ROUTES: None}, Growth.UNKNOWN),
    ],
    ids=[
        "room",
        "children full",
        "keys full",
        "both full",
        "children full, rest unknown",
        "keys, rest unknown",
        "unknown",
    ],
)
def test_routers_ease_some_tables_and_another_radio_the_others(used, limits, growth):
    """46 of 50 leaves 8 %: stop (trade rule C9). Children and neighbours are eased by routers, keys are not."""
    counts = {resource: used.get(resource, 10) for resource in Resource}
    known = {resource: Limit(limits.get(resource, 50)) for resource in Resource}
    room: Room = room_of(counts, known)
    assert growth_of(room) is growth


def test_a_mesh_that_fails_is_noted_and_the_rest_goes_on(mesh):
    other = covered_mesh()
    Mesh.objects.filter(pk=mesh.pk).update(security_mode="centrall")
    found = Weighing.load(make.NOW).weigh(meshes_of([mesh.pk, other.pk]))
    assert [(each.mesh, each.error) for each in found.troubles] == [(mesh.code, "ValueError")]
    assert [each.facts.code for each in found.rows] == [other.code]


def test_the_statements_are_as_many_for_many_as_for_one(mesh, django_assert_num_queries):
    with django_assert_num_queries(11):
        shared = Weighing.load(make.NOW)
    meshes = meshes_of([mesh.pk])
    with django_assert_num_queries(6):
        shared.weigh(meshes)
    many = meshes_of([mesh.pk, *(covered_mesh().pk for _ in range(4))])
    with django_assert_num_queries(6):
        shared.weigh(many)


def test_facts_come_back_from_plain_values(mesh):
    facts = facts_of(mesh)
    assert facts_from(as_data(facts)) == facts
    assert isinstance(Outages.load(make.NOW).rate(mesh.periods.get().radio).upper, float)
    assert Outage(60, 30).minutes == 60


def test_weighing_later_finds_less_support(mesh):
    say_support(mesh.periods.get().radio.model, date(2027, 6, 4), "a letter", "Orla", make.NOW)
    later = weighed(mesh, now=make.NOW + timedelta(days=100))[0]
    assert later.facts.support_days == -30
