from datetime import timedelta

import pytest

from fleet.models import Custody, Grade, JournalEntry, SealedBody
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
