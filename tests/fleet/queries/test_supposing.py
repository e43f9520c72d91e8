"""What a supposition does to a book of rows: judged as the rounds judge, and nothing written."""

from datetime import timedelta

import pytest
from django.apps import apps
from django.db import connection, transaction

from fleet.models import EndReason, Mesh, PlaceKind, Radio, RadioState, ServicePeriod
from fleet.planning.capabilities import FirmwareState
from fleet.planning.readiness import State
from fleet.planning.supposing import AddedSpare, SupposedPolicy, SupposingError, Supposition
from fleet.queries.readiness import judged
from fleet.queries.spares import SpareShelf
from fleet.queries.stands import Rules, meshes_of, stand_rows
from fleet.queries.supposed_rows import found_in_book
from fleet.queries.supposing import Found, suppose
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

YEAR = timedelta(days=365.25)


@pytest.fixture
def mesh() -> Mesh:
    """Covered, its spare in the home, the pair of builds tried once; one radio-year a hundred days and a bit."""
    return covered_mesh()


@pytest.fixture
def bench():
    return make.place(
        code="SHELF-1", name="Workshop", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000"
    )


def build_of(mesh: Mesh):
    return mesh.periods.get().radio.firmware


def supposed(**change) -> Found:
    return suppose(found_in_book(Supposition(**change)), make.NOW)


def one_more(mesh: Mesh, place: str, count: int = 1) -> AddedSpare:
    build = build_of(mesh)
    return AddedSpare(build.model.code, build.version, count, place)


def states(found: Found) -> list[tuple[str, State, State]]:
    return [
        (each.mesh.code, each.before.readiness.state, each.after.readiness.state) for each in found.changed
    ]


def test_supposing_nothing_changes_nothing(mesh):
    found = supposed()
    assert (found.changed, found.troubles) == ((), ())
    assert found.tally.hours_before == found.tally.hours_after > 0


def test_a_spare_that_is_taken_away_leaves_a_mesh_bare(mesh):
    spare = Radio.objects.get(state=RadioState.SHELVED)
    found = supposed(taken=(spare.code,))
    assert states(found) == [(mesh.code, State.COVERED, State.BARE)]
    assert found.changed[0].after.readiness.reason == f"There is no spare for {mesh.code}."
    assert found.tally.hours_after > found.tally.hours_before


def test_an_added_spare_covers_a_bare_mesh_and_shortens_the_outage(mesh, bench):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    found = supposed(added=(one_more(mesh, "SHELF-1"),))
    assert states(found) == [(mesh.code, State.BARE, State.COVERED)]
    code = build_of(mesh).model.code
    assert f"Spare {code}-NEW-1" not in found.changed[0].before.readiness.reason
    assert f"spare {code}-NEW-1" in found.changed[0].after.readiness.reason
    assert found.tally.hours_after < found.tally.hours_before


def test_a_spare_can_be_added_in_a_home_where_none_has_ever_lain(mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    mesh.site.place.delete()
    found = supposed(added=(one_more(mesh, mesh.site.code),))
    assert states(found) == [(mesh.code, State.BARE, State.COVERED)]


def test_a_spare_in_another_home_helps_nobody_else(mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    other = make.site()
    assert states(supposed(added=(one_more(mesh, other.code),))) == []


def test_the_second_of_two_shared_spares_counts_where_a_new_one_takes_long(mesh, bench):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    one = supposed(added=(one_more(mesh, "SHELF-1", 1),), wait_days=60).tally.hours_after
    two = supposed(added=(one_more(mesh, "SHELF-1", 2),), wait_days=60).tally.hours_after
    assert two < one


def test_without_a_wait_that_is_known_a_mesh_without_spare_has_no_hours(mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    tally = supposed(wait_days=None).tally
    assert (tally.counted, sum(tally.left_out.values())) == (0, 1)


def test_a_shorter_drill_interval_makes_a_mesh_thin(mesh):
    found = supposed(drill_days=59)
    assert states(found) == [(mesh.code, State.COVERED, State.THIN)]
    assert found.changed[0].after.readiness.reason == "The last drill was 60 days ago; the limit is 59 days."


def test_a_longer_drill_interval_lifts_an_overdue_mesh(mesh):
    mesh.drills.update(done_at=make.NOW - timedelta(days=400))
    assert states(supposed(drill_days=401)) == [(mesh.code, State.THIN, State.COVERED)]


def test_a_shorter_recovery_point_makes_yesterdays_copy_stale(mesh):
    found = supposed(point_hours=12)
    assert states(found) == [(mesh.code, State.COVERED, State.THIN)]
    assert "the limit is 12 hours" in found.changed[0].after.readiness.reason


def test_a_promise_alone_brings_nobody_back_sooner(mesh):
    tally = supposed(point_hours=12, drill_days=30).tally
    assert tally.hours_after == tally.hours_before


@pytest.mark.parametrize(
    ("policy", "state"), [(FirmwareState.BARRED, State.BARE), (FirmwareState.HOLD, State.THIN)]
)
def test_another_firmware_policy_takes_the_spare_out(mesh, policy, state):
    build = build_of(mesh)
    change = SupposedPolicy(build.model.code, build.version, policy)
    assert states(supposed(policies=(change,))) == [(mesh.code, State.COVERED, state)]


def test_allowing_a_barred_release_lifts_a_mesh(mesh):
    build = build_of(mesh)
    build.policy = "barred"
    build.save()
    change = SupposedPolicy(build.model.code, build.version, FirmwareState.ALLOWED)
    assert states(supposed(policies=(change,))) == [(mesh.code, State.BARE, State.COVERED)]


def test_all_at_once_the_worst_gate_speaks(mesh, bench):
    build, spare = build_of(mesh), Radio.objects.get(state=RadioState.SHELVED)
    change = SupposedPolicy(build.model.code, build.version, FirmwareState.BARRED)
    found = supposed(
        added=(one_more(mesh, "SHELF-1", 2),),
        taken=(spare.code,),
        policies=(change,),
        drill_days=10,
        point_hours=1,
    )
    assert states(found) == [(mesh.code, State.COVERED, State.BARE)]
    assert "is barred" in found.changed[0].after.readiness.reason


def test_failures_of_the_family_raise_the_hours_and_upgrades_do_not(mesh):
    for _ in range(3):
        old = make.radio(firmware=build_of(mesh), state=RadioState.WIPED)
        ended = {"since": make.NOW - 2 * YEAR, "until": make.NOW - YEAR, "why_ended": EndReason.UPGRADE}
        make.service(make.mesh(in_care=False), old, **ended)
    calm = supposed().tally
    ServicePeriod.objects.exclude(until=None).update(why_ended=EndReason.FAILED)
    stormy = supposed().tally
    assert (calm.rates_used[0].failures, stormy.rates_used[0].failures) == (0, 3)
    assert stormy.hours_before / calm.hours_before == pytest.approx(7.753657 / 2.995732, rel=1e-6)


def test_the_same_figures_as_by_hand(mesh):
    """400 days of a family without a failure; a spare in the home, one try in one passed; one battery device."""
    radio_years = 400 / 365.25
    failures_a_year = 2.995732 / radio_years  # chi-square(0.95, 2) / 2
    restore = (19.25 + 4 * 45.5 + 106) / 6  # diagnose, write, restart, settle, verify one node
    joining = (3 * 1.05 + 1 + 4 * (4 * 1.1 + 1.5) + 8 * 1.25 + 3) / 6
    expected = restore + 0.95 * joining  # 1 of 1: lower bound 5 %
    by_hand = joining  # shorter: one device is joined sooner than a copy is restored
    assert by_hand < expected
    assert supposed().tally.hours_before == pytest.approx(failures_a_year * by_hand / 60, rel=1e-6)


def test_many_meshes_take_as_many_statements_as_one(mesh, bench, django_assert_num_queries):
    lone = covered_mesh()
    lone.snapshots.all().delete()
    change = found_in_book(Supposition(added=(one_more(mesh, "SHELF-1"),)))
    statements = 7 + (1 + 2 + 7) + 1  # once for the book, the one chunk, and that no more follow
    with django_assert_num_queries(statements):
        suppose(change, make.NOW)
    for _ in range(5):
        covered_mesh()
    with django_assert_num_queries(statements):
        suppose(change, make.NOW)


def everything() -> dict[str, list[tuple]]:
    """Every row of every table that the program fills."""
    models = [*apps.get_app_config("sites").get_models(), *apps.get_app_config("fleet").get_models()]
    return {
        model.__name__: sorted(map(str, model._default_manager.order_by("pk").values_list()))
        for model in models
    }


def test_nothing_is_written(mesh, bench):
    before = everything()
    found = supposed(
        added=(one_more(mesh, "SHELF-1", 3),),
        drill_days=1,
        point_hours=1,
        policies=(SupposedPolicy(build_of(mesh).model.code, build_of(mesh).version, FirmwareState.HOLD),),
    )
    assert found.changed
    assert everything() == before


def test_a_connection_that_may_only_read_is_enough(mesh, bench):
    change = Supposition(added=(one_more(mesh, "SHELF-1"),), drill_days=1)
    with transaction.atomic(), connection.cursor() as cursor:
        sqlite = connection.vendor == "sqlite"
        cursor.execute("PRAGMA query_only = ON" if sqlite else "SET TRANSACTION READ ONLY")
        try:
            assert suppose(found_in_book(change), make.NOW).changed
        finally:
            if sqlite:
                cursor.execute("PRAGMA query_only = OFF")


def test_one_mesh_that_cannot_be_judged_does_not_stop_the_rest(mesh):
    broken = covered_mesh()
    Mesh.objects.filter(pk=broken.pk).update(security_mode="centrall")
    found = supposed(drill_days=59)
    assert [(each.mesh, each.error) for each in found.troubles] == [(broken.code, "ValueError")]
    assert [code for code, *_ in states(found)] == [mesh.code]


def test_many_meshes_are_read_as_one_is(mesh):
    """Of every kind that reading tells apart."""
    bare = covered_mesh()
    bare.snapshots.update(grade="held", currency="unjudged")
    make.snapshot(bare, currency="locked_out")
    covered_mesh().site.agreements.all().delete()
    covered_mesh().snapshots.update(grade="sound")
    covered_mesh().site.agreements.update(drill_interval_days=30)
    ruled = covered_mesh(keep_rule=make.keep_rule(freshness_hours=3), joins_per_month=4.5)
    ruled.site.agreements.all().delete()
    make.mesh()
    again_seen = covered_mesh()
    make.snapshot(again_seen, taken_at=make.NOW - timedelta(hours=2))
    ServicePeriod.objects.filter(mesh=covered_mesh()).update(until=make.NOW - timedelta(days=1))
    shelf, rules = SpareShelf.load(), Rules.load()
    meshes = meshes_of(Mesh.objects.values_list("pk", flat=True))
    assert len(meshes) == Mesh.objects.count()
    for rows in stand_rows(meshes, rules, make.NOW):
        one = judged(Mesh.objects.get(pk=rows.mesh.pk), shelf, make.NOW)
        alone = [getattr(one.facts, name) for name in one.facts.__slots__ if name != "spares"]
        many = [getattr(rows.stand.facts, name) for name in one.facts.__slots__ if name != "spares"]
        assert many == alone
        assert shelf.for_mesh(rows.mesh, rows.radio, rows.nodes) == one.facts.spares


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        (
            {"added": (AddedSpare("X9", "1", 1, "SHELF-1"),)},
            "spare",
            "There is no X9 with firmware 1; the book has",
        ),
        ({"taken": ("X-1",)}, "taken", "X-1 is no spare that stands by"),
        (
            {"policies": (SupposedPolicy("X9", "1", FirmwareState.HOLD),)},
            "firmware",
            "There is no X9 with firmware 1",
        ),
    ],
)
def test_what_the_book_does_not_have_is_named_with_what_it_has(mesh, bench, change, field, told):
    with pytest.raises(SupposingError, match=told) as refused:
        found_in_book(Supposition(**change))
    assert refused.value.field == field


def test_a_place_that_is_none_is_named_with_those_there_are(mesh, bench):
    with pytest.raises(SupposingError, match=r"There is no place LOFT-1; .* one of: SHELF-1") as refused:
        found_in_book(Supposition(added=(one_more(mesh, "LOFT-1"),)))
    assert refused.value.field == "place"


def test_a_version_that_a_model_has_not_is_named_with_those_it_has(mesh):
    build = build_of(mesh)
    with pytest.raises(SupposingError, match=f"{build.model.code} has {build.version}"):
        found_in_book(Supposition(added=(AddedSpare(build.model.code, "0", 1, mesh.site.code),)))


def test_codes_are_found_however_they_are_typed(mesh, bench):
    spare = make.spare(code="Van-Spare-7", firmware=build_of(mesh), place=bench)
    change = found_in_book(Supposition(added=(one_more(mesh, "shelf-1"),), taken=("vAN-sPARE-7",))).change
    assert (change.added[0].place, change.taken) == ("SHELF-1", (spare.code,))


def test_it_is_said_in_words(mesh, bench):
    build = build_of(mesh)
    change = Supposition(
        added=(one_more(mesh, "SHELF-1", 2),),
        drill_days=182,
        policies=(SupposedPolicy(build.model.code, build.version, FirmwareState.HOLD),),
    )
    name = f"{build.model} {build.version}"
    assert (
        found_in_book(change).words == f"2 more {name} at Workshop, a drill every 182 days and {name} on hold"
    )


def test_a_spare_that_would_lie_too_far_away_is_said_to_be_the_reason(mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    far = make.place(code="SHELF-2", kind=PlaceKind.SHELF, latitude="60.00000", longitude="5.00000")

    found = supposed(added=(one_more(mesh, far.code),))

    assert found.changed == ()
    assert found.tally.kept_back == {"far": 1}
    assert found.tally.nearest_minutes > 10 * 60


def test_a_gate_that_stays_failed_is_said_to_be_the_reason(mesh, bench):
    mesh.snapshots.all().delete()

    found = supposed(added=(one_more(mesh, "SHELF-1"),))

    assert found.changed == ()
    assert found.tally.kept_back == {"There is no snapshot that can be restored": 1}


def test_a_spare_of_another_kind_is_said_not_to_fit(mesh, bench):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    other = make.release(make.radio_model(family="Z"))

    found = supposed(added=(AddedSpare(other.model.code, other.version, 1, "SHELF-1"),))

    assert found.changed == ()
    assert found.tally.kept_back == {"no fit": 1}
