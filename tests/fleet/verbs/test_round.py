from datetime import timedelta

import pytest

from fleet.models import Currency, DrillResult, FirmwarePolicy, Grade, ReadinessChange, Round, RoundState
from fleet.verbs import assess
from fleet.verbs import round as rounds
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


def run(now=make.NOW):
    return rounds.run(lambda: now, by="test")


def judged(mesh, now=make.NOW):
    run(now)
    mesh.refresh_from_db()
    return mesh


def test_a_mesh_for_which_nothing_is_missing_is_covered():
    mesh = judged(covered_mesh())

    assert mesh.readiness == "covered"
    assert mesh.best_spare == mesh.site.place.radios.get()
    assert mesh.minutes_low <= mesh.minutes_likely <= mesh.minutes_high


def test_a_mesh_without_a_radio_in_service_is_unknown():
    mesh = covered_mesh()
    mesh.periods.update(until=make.NOW - DAY)

    assert judged(mesh).readiness == "unknown"


def test_a_mesh_without_a_sound_copy_is_bare():
    mesh = covered_mesh()
    mesh.snapshots.all().delete()

    judged(mesh)

    assert (mesh.readiness, mesh.readiness_gate) == ("bare", "snapshot")
    assert mesh.readiness_act == f"Take a snapshot at {mesh.code} and send it in."


def test_a_spare_that_is_not_proven_blank_does_not_count():
    mesh = covered_mesh()
    spare = mesh.site.place.radios.get()
    spare.blank_proven_at = None
    spare.save()

    judged(mesh)

    assert (mesh.readiness, mesh.readiness_gate) == ("bare", "spare")
    assert spare.code in mesh.readiness_reason
    assert mesh.minutes_likely is None


def test_a_spare_with_barred_firmware_does_not_count():
    mesh = covered_mesh()
    spare = mesh.site.place.radios.get()
    spare.firmware = make.release(spare.model, policy=FirmwarePolicy.BARRED)
    spare.save()

    assert judged(mesh).readiness_gate == "spare"


def test_a_spare_a_continent_away_does_not_meet_a_four_hour_promise():
    mesh = covered_mesh()
    spare = mesh.site.place.radios.get()
    spare.place = make.place(latitude="36.12", longitude="-86.67")
    spare.save()

    assert judged(mesh).readiness == "bare"


def test_an_old_copy_makes_a_mesh_thin_and_stale():
    mesh = covered_mesh()

    judged(mesh, make.NOW + 8 * DAY)

    assert (mesh.readiness, mesh.readiness_gate) == ("thin", "fresh")
    assert mesh.snapshots.get().currency == Currency.STALE


def test_joins_make_the_limit_stricter_than_the_promise():
    mesh = covered_mesh(joins_per_month=1.0)

    judged(mesh, make.NOW + 3 * DAY)

    assert mesh.readiness_gate == "fresh"
    assert "3.2 days" in mesh.readiness_reason


def test_a_failed_drill_makes_a_mesh_thin():
    mesh = covered_mesh()
    make.drill(mesh, result=DrillResult.FAILED, done_at=make.NOW - DAY)

    assert judged(mesh).readiness_gate == "drill"


def test_a_pair_that_was_never_tried_is_thin():
    mesh = covered_mesh()
    mesh.drills.update(target_release=make.release())

    assert judged(mesh).readiness_gate == "tested"


def test_a_job_that_ran_and_brought_no_new_copy_leaves_the_mesh_stale():
    """Age is counted from the capture: repeated arrivals, held copies and what waits in the tray are no fresh copy."""
    mesh = covered_mesh()
    copy = mesh.snapshots.get()
    later = make.NOW + 8 * DAY
    for days in range(8):
        make.arrival(copy, at=make.NOW + days * DAY)
    make.snapshot(mesh, taken_at=later - DAY, grade=Grade.HELD)
    make.tray_item(mesh, received_at=later)

    judged(mesh, later)

    assert (mesh.readiness, mesh.readiness_gate) == ("thin", "fresh")
    assert mesh.readiness_reason == "The newest sound snapshot is 9 days old; the limit is 7 days."


def test_an_old_copy_that_arrives_today_is_as_old_as_its_capture():
    mesh = covered_mesh()
    mesh.snapshots.all().delete()
    make.snapshot(mesh, taken_at=make.NOW - 30 * DAY, received_at=make.NOW, grade=Grade.SEEN_LIVE)

    judged(mesh)

    assert mesh.readiness_reason == "The newest sound snapshot is 30 days old; the limit is 7 days."


def test_a_change_of_state_is_a_row_with_what_it_was_and_why():
    mesh = judged(covered_mesh())
    mesh.snapshots.all().delete()

    report = run(make.NOW + DAY)

    first, then = ReadinessChange.objects.order_by("pk")
    assert (first.was, first.became) == ("", "covered")
    assert (then.was, then.became, then.gate) == ("covered", "bare", "snapshot")
    assert (then.mesh, then.round, then.at) == (mesh, report, make.NOW + DAY)
    assert then.reason == f"There is no snapshot of {mesh.code}."


def test_a_mesh_that_stays_as_it_was_makes_no_row():
    judged(covered_mesh())
    run(make.NOW + timedelta(hours=1))
    assert ReadinessChange.objects.count() == 1


def test_of_many_spares_those_that_need_work_never_hide_one_that_is_ready():
    mesh = covered_mesh()
    ready = mesh.site.place.radios.get()
    ready.place = make.place(latitude="68.40", longitude="14.20")
    ready.save()
    near = make.place(latitude="68.16", longitude="14.20")
    for _ in range(8):
        make.spare(firmware=ready.firmware, place=near, blank_proven_at=None)

    assert judged(mesh).best_spare == ready


def test_a_second_round_changes_nothing_but_its_own_row():
    mesh = covered_mesh()
    first = judged(mesh).readiness_reason
    findings = list(mesh.findings.values_list("pk", "message"))

    assert judged(mesh).readiness_reason == first
    assert list(mesh.findings.values_list("pk", "message")) == findings


def test_standing_findings_come_and_go():
    mesh = covered_mesh()
    twin = make.mesh(site=mesh.site, channel=mesh.channel)
    run()
    assert mesh.findings.filter(code="own_meshes_share_channel").exists()

    twin.channel = 25
    twin.save()
    run()

    assert not mesh.findings.filter(code="own_meshes_share_channel").exists()


def test_a_radio_near_its_ceiling_is_a_finding_with_the_months_that_are_left():
    mesh = covered_mesh()
    model = mesh.periods.get().radio.model
    model.limits.filter(resource="children").update(value=50)
    mesh.table_use = {**mesh.table_use, "children": 46}
    mesh.save()
    mesh.snapshots.update(table_use={"children": 46})
    make.snapshot(mesh, taken_at=make.NOW - timedelta(days=61.875), table_use={"children": 43})

    run()

    # 3 more in 60.875 days is 1.5 a month; 4 are left: 2.7 months (trade rule C9)
    message = mesh.findings.get(code="near_ceiling").message
    assert message.startswith("46 of 50 children in use: 8% left, full in 2.7 months")


def test_one_failing_mesh_never_stops_the_rest(monkeypatch):
    broken, good = covered_mesh(), covered_mesh()
    real = assess.judged

    def fail_once(mesh, *rest):
        if mesh.pk == broken.pk:
            raise RuntimeError("the text of an error might hold a secret")
        return real(mesh, *rest)

    monkeypatch.setattr(assess, "judged", fail_once)

    report = run()

    [error] = report.errors
    assert (error["mesh"], error["error"]) == (broken.code, "RuntimeError")
    assert report.done == report.total == 2
    good.refresh_from_db()
    assert good.readiness == "covered"


def test_two_rounds_never_run_at_once():
    make.round_(state=RoundState.RUNNING, finished_at=None, started_at=make.NOW, last_sign_at=make.NOW)

    with pytest.raises(rounds.AlreadyRunning, match="2027-03-26 08:00"):
        run()


def test_a_killed_round_goes_on_where_it_was():
    first, second = covered_mesh(), covered_mesh()
    killed = rounds.begin(make.NOW - timedelta(minutes=11), by="test")
    killed.chunks.update(after_mesh=first.pk, done=1, token="killed", sign_at=killed.started_at)

    report = run()

    assert report.pk == killed.pk
    assert (report.state, report.done) == (RoundState.DONE, 2)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.assessed_at, second.assessed_at) == (None, killed.started_at)


def test_an_empty_book_has_a_round_too():
    assert run().state == RoundState.DONE
    assert Round.objects.get().total == 0


def test_a_round_that_was_stopped_on_purpose_blocks_no_other(monkeypatch):
    covered_mesh()
    real = assess.judged

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(assess, "judged", stopped)
    with pytest.raises(KeyboardInterrupt):
        run()
    assert Round.objects.get().state == RoundState.BROKEN
    monkeypatch.setattr(assess, "judged", real)

    assert run().state == RoundState.DONE
