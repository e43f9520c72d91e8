from datetime import timedelta

import pytest

from fleet.models import ClientKeepRule, Custody, Grade, JournalEntry, SealedBody
from fleet.verbs.keep import apply_rule
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh():
    return make.mesh()


def dailies(mesh, count, **given):
    return [make.snapshot(mesh, taken_at=make.NOW - DAY * place, **given) for place in range(count)]


def keep(mesh, now=make.NOW, complete=True):
    return apply_rule(mesh, now, complete)


def test_kept_copies_say_which_tiers_hold_them(mesh):
    copies = dailies(mesh, 3)

    keep(mesh)

    copies[0].refresh_from_db()
    assert copies[0].holds[0] == "day 2027-03-26"
    assert "last sound" in copies[0].holds
    assert copies[0].custody == Custody.PINNED


def test_what_nothing_holds_is_marked_and_stays_for_the_grace_time(mesh):
    dailies(mesh, 60)

    report = keep(mesh)

    assert report.marked == mesh.snapshots.filter(custody=Custody.DOOMED).count() > 0
    assert report.erased == 0


def test_after_the_grace_time_the_octets_go_and_the_row_says_why(mesh):
    for copy in dailies(mesh, 60):
        make.sealed_body(copy)
    marked = keep(mesh).marked

    report = keep(mesh, make.NOW + 7 * DAY)

    assert report.erased >= marked
    gone = mesh.snapshots.filter(custody=Custody.GONE)
    assert gone.count() == report.erased
    assert all("14 days" in copy.gone_because and copy.gone_at for copy in gone)
    assert not SealedBody.objects.filter(snapshot__in=gone).exists()
    assert JournalEntry.objects.filter(what="snapshots erased").count() == 1


def test_on_the_sixth_day_nothing_is_erased(mesh):
    dailies(mesh, 60)
    keep(mesh)

    assert keep(mesh, make.NOW + 6 * DAY).erased == 0


def test_nothing_is_erased_after_a_round_that_was_not_whole(mesh):
    dailies(mesh, 60)
    keep(mesh)

    assert keep(mesh, make.NOW + 8 * DAY, complete=False).erased == 0


def test_a_second_pass_changes_nothing(mesh):
    dailies(mesh, 60)
    keep(mesh)
    before = list(mesh.snapshots.values_list("pk", "custody", "doomed_at", "holds"))

    report = keep(mesh, make.NOW + timedelta(hours=1))

    assert (report.marked, report.unmarked, report.erased) == (0, 0, 0)
    assert list(mesh.snapshots.values_list("pk", "custody", "doomed_at", "holds")) == before


def test_a_wider_rule_takes_the_mark_off(mesh):
    rule = make.keep_rule(days=1, weeks=0, months=0, years=0)
    mesh.keep_rule = rule
    dailies(mesh, 5)
    assert keep(mesh).marked == 4
    rule.days = 14
    rule.save()

    assert keep(mesh).unmarked == 4
    assert not mesh.snapshots.filter(custody=Custody.DOOMED).exists()


def test_a_home_that_was_offline_for_seven_months_keeps_its_last_sound_copy(mesh):
    last = make.snapshot(mesh, taken_at=make.NOW - 210 * DAY)

    for night in range(20):
        keep(mesh, make.NOW + night * DAY)

    last.refresh_from_db()
    assert last.custody == Custody.PINNED


def test_an_unsound_newer_copy_does_not_displace_a_sound_one(mesh):
    sound = make.snapshot(mesh, taken_at=make.NOW - timedelta(hours=2))
    held = make.snapshot(mesh, taken_at=make.NOW - timedelta(hours=1), grade=Grade.HELD)

    keep(mesh)

    sound.refresh_from_db()
    held.refresh_from_db()
    assert "day 2027-03-26" in sound.holds
    assert held.custody == Custody.DOOMED


def test_days_are_those_of_the_home():
    home = make.site(time_zone="Pacific/Chatham")
    mesh = make.mesh(site=home)
    copy = make.snapshot(mesh, taken_at=make.NOW.replace(hour=12))

    keep(mesh)

    copy.refresh_from_db()
    assert copy.holds[0] == "day 2027-03-27"  # 12:00 UTC is 01:45 of the next day there


def holds_of(copy):
    copy.refresh_from_db()
    return copy.holds


def test_a_clients_rule_holds_where_the_mesh_has_none(mesh):
    make.keep_rule(is_default=True)
    ClientKeepRule.objects.create(
        client=mesh.site.client, rule=make.keep_rule(days=1, weeks=0, months=0, years=0)
    )
    dailies(mesh, 5)

    assert keep(mesh).marked == 4


def test_a_meshs_own_rule_goes_before_its_clients(mesh):
    ClientKeepRule.objects.create(
        client=mesh.site.client, rule=make.keep_rule(days=1, weeks=0, months=0, years=0)
    )
    mesh.keep_rule = make.keep_rule(days=3, weeks=0, months=0, years=0)
    dailies(mesh, 5)

    assert keep(mesh).marked == 2


def test_the_rule_of_another_client_is_not_asked(mesh):
    make.keep_rule(is_default=True, days=3, weeks=0, months=0, years=0)
    ClientKeepRule.objects.create(
        client=make.client(), rule=make.keep_rule(days=1, weeks=0, months=0, years=0)
    )
    dailies(mesh, 5)

    assert keep(mesh).marked == 2


def test_the_copies_around_a_swap_stay(mesh):
    swapped = make.NOW - 300 * DAY
    make.service(mesh, make.radio(), since=make.NOW - 900 * DAY, until=swapped)
    make.service(mesh, make.radio(code="A2-0111"), since=swapped)
    mesh.keep_rule = make.keep_rule(days=1, weeks=0, months=0, years=0)
    dailies(mesh, 1)
    before = make.snapshot(mesh, taken_at=swapped - DAY)
    older = make.snapshot(mesh, taken_at=swapped - 2 * DAY)
    after = make.snapshot(mesh, taken_at=swapped + DAY)

    keep(mesh)

    assert holds_of(before) == ["before swap to A2-0111 on 2026-05-30"]
    assert holds_of(after) == ["after swap to A2-0111 on 2026-05-30"]
    assert holds_of(older) == []


def test_the_first_radio_of_a_mesh_is_no_swap(mesh):
    make.service(mesh, since=make.NOW - 300 * DAY)
    copy = make.snapshot(mesh, taken_at=make.NOW - 299 * DAY)

    keep(mesh)

    assert not any("swap" in hold for hold in holds_of(copy))


def of_two_keys(mesh, **heard):
    """A copy under an old key, one under the key in use, and when each device was last heard."""
    mesh.keep_rule = make.keep_rule(days=1, weeks=0, months=0, years=0)
    mesh.roll = {make.address(): at and at.isoformat() for at in heard.values()}
    mesh.save()
    make.snapshot(mesh, taken_at=make.NOW - 2 * DAY)
    make.snapshot(mesh, taken_at=make.NOW - DAY)
    return make.snapshot(mesh, taken_at=make.NOW - 400 * DAY, key_mark="0LDKEY00", key_sequence=7)


@pytest.mark.parametrize("last", [None, make.NOW - 100 * DAY], ids=["never said", "only before"])
def test_a_copy_under_an_old_key_stays_while_a_device_may_be_left_behind(mesh, last):
    old = of_two_keys(mesh, lamp=make.NOW, lock=last)

    keep(mesh)

    assert holds_of(old) == ["key epoch 7 (0LDKEY00)"]


def test_a_copy_under_an_old_key_goes_once_the_new_key_has_reached_every_device(mesh):
    old = of_two_keys(mesh, lamp=make.NOW, lock=make.NOW - DAY)

    keep(mesh)

    assert holds_of(old) == []


def test_a_device_that_is_missing_since_the_new_key_keeps_the_old_copy(mesh):
    old = of_two_keys(mesh, lamp=make.NOW)
    make.node(mesh, gone_since=make.NOW - DAY)

    keep(mesh)

    assert holds_of(old) == ["key epoch 7 (0LDKEY00)"]


def test_a_legal_hold_on_the_client_holds_every_copy(mesh):
    mesh.site.client.held_since, mesh.site.client.hold_reason = make.NOW.date(), "court order 12"
    mesh.site.client.save()
    dailies(mesh, 60)

    assert keep(mesh).marked == 0
    assert all("legal hold on the client" in copy.holds for copy in mesh.snapshots.all())
