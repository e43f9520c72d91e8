"""Rounds begin when they are due, one at a time, and what was lost is found again from the rows."""

from datetime import timedelta

import pytest
from django.conf import settings

from fleet.models import Custody, JournalEntry, Round, RoundState
from fleet.verbs import round as rounds
from fleet.verbs.chunk import Holder
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

HOUR, MINUTE, DAY = timedelta(hours=1), timedelta(minutes=1), timedelta(days=1)
LEASE = timedelta(seconds=settings.ROUND_LEASE_SECONDS)
LATER = make.NOW + LEASE + MINUTE


@pytest.fixture
def report(settings):
    settings.ROUND_CHUNK = 1
    for _ in range(3):
        covered_mesh()
    return rounds.begin(make.NOW, by="test")


def run(now):
    return rounds.run(lambda: now, by="test")


def work(report, number, now=make.NOW, **given):
    return rounds.run_chunk(report.pk, number, Holder(f"worker {number}"), lambda: now, **given)


# When a round begins


def test_a_round_is_due_when_none_has_begun_in_the_hour():
    five_past = make.NOW + 5 * MINUTE

    assert rounds.is_due(five_past)
    rounds.begin(five_past, by="schedule", scheduled=True)
    assert not rounds.is_due(five_past + 59 * MINUTE)
    assert rounds.is_due(five_past + HOUR)


def test_a_beat_that_was_missed_for_days_is_caught_up_by_one_round():
    rounds.begin(make.NOW - 3 * DAY, by="schedule", scheduled=True)

    assert rounds.is_due(make.NOW)
    rounds.begin(make.NOW, by="schedule", scheduled=True)
    assert not rounds.is_due(make.NOW + MINUTE)


def test_no_round_is_due_while_one_runs(report):
    assert not rounds.is_due(make.NOW + 2 * HOUR)


def test_of_two_schedulers_one_begins_the_round_of_the_hour():
    rounds.begin(make.NOW, by="schedule", scheduled=True)

    with pytest.raises(rounds.AlreadyRunning, match="The round of this hour has begun already"):
        rounds.begin(make.NOW + MINUTE, by="schedule", scheduled=True)
    assert Round.objects.count() == 1


def test_somebody_may_ask_for_a_second_round_in_the_hour():
    rounds.begin(make.NOW, by="schedule", scheduled=True)

    again = rounds.begin(make.NOW + MINUTE, by="Orla")

    assert (again.slot, again.asked_by) == (None, "Orla")


def test_a_round_that_somebody_asked_for_serves_the_hour():
    rounds.begin(make.NOW, by="Orla")
    assert not rounds.is_due(make.NOW + MINUTE)


def test_a_second_round_is_refused_while_one_runs(report):
    with pytest.raises(rounds.AlreadyRunning, match="already running since 2027-03-26 08:00"):
        rounds.begin(make.NOW + 2 * HOUR, by="Orla")


def test_an_empty_book_has_a_round_that_is_done_at_once():
    assert rounds.begin(make.NOW, by="test").state == RoundState.DONE


def test_meshes_are_shared_out_into_chunks_of_a_size(settings):
    settings.ROUND_CHUNK = 2
    for _ in range(5):
        make.mesh()

    report = rounds.begin(make.NOW, by="test")

    assert list(report.chunks.values_list("number", "size")) == [(1, 2), (2, 2), (3, 1)]
    assert report.total == 5


# What was lost


def test_a_round_at_work_is_left_alone(report):
    assert rounds.mend(make.NOW + MINUTE) == (report.pk, [])


def test_when_the_queue_lost_everything_all_chunks_are_handed_out_again(report):
    work(report, 1)

    assert rounds.mend(LATER) == (report.pk, [2, 3])


def test_chunks_are_not_handed_out_every_minute(report):
    rounds.mend(LATER)
    assert rounds.mend(LATER + MINUTE) == (report.pk, [])


def test_of_a_round_at_work_only_the_chunk_of_a_lost_worker_is_handed_out(report):
    report.chunks.filter(number=1).update(token="lost", sign_at=make.NOW)
    report.chunks.filter(number=2).update(token="at work", sign_at=LATER)

    assert rounds.mend(LATER) == (report.pk, [1])
    assert rounds.mend(LATER + MINUTE) == (report.pk, [])


def test_a_round_whose_worker_was_killed_before_it_could_close_it_is_closed(report):
    report.chunks.update(finished_at=make.NOW, done=1)

    assert rounds.mend(make.NOW + MINUTE) is None
    report.refresh_from_db()
    assert (report.state, report.done) == (RoundState.DONE, 3)


def test_a_round_of_last_night_is_broken_off_in_the_morning(report):
    assert rounds.mend(make.NOW + 7 * HOUR) is None

    report.refresh_from_db()
    assert report.state == RoundState.BROKEN
    assert rounds.is_due(make.NOW + 7 * HOUR)


def test_the_command_takes_a_round_over_that_has_lost_its_workers(report):
    work(report, 1)

    assert run(LATER).pk == report.pk
    report.refresh_from_db()
    assert (report.state, report.done) == (RoundState.DONE, 3)


def test_closing_a_round_is_one_line_in_the_journal(report):
    for number in (1, 2, 3):
        work(report, number)
    rounds.finish(report.pk, make.NOW)

    line = JournalEntry.objects.get(what="round done")
    assert (line.who, line.details) == ("test", {"meshes": 3, "errors": 0})
    assert not report.chunks.exists()


def test_stopping_a_round_says_who(report):
    rounds.stop(report.pk, "Orla", make.NOW)
    assert JournalEntry.objects.get(what="round stopped").who == "Orla"


# What may be erased


@pytest.fixture
def doomed():
    """A copy that an hourly round marked seven days less one hour ago."""
    mesh = covered_mesh()
    rule = make.keep_rule(days=1, weeks=0, months=0, years=0)
    mesh.keep_rule = rule
    mesh.save()
    marked = make.NOW - 7 * DAY + HOUR
    copy = make.snapshot(mesh, taken_at=make.NOW - 30 * DAY, custody=Custody.DOOMED, doomed_at=marked)
    for hours in range(13, 0, -1):
        make.round_(started_at=make.NOW - hours * HOUR, total=0, done=0)
    return copy


def gone(copy):
    copy.refresh_from_db()
    return copy.custody == Custody.GONE


def test_grace_time_is_not_over_an_hour_early(doomed):
    assert run(make.NOW).may_erase
    assert not gone(doomed)


def test_when_grace_time_is_over_the_copy_goes(doomed):
    run(make.NOW)
    run(make.NOW + HOUR)
    assert gone(doomed)


def test_a_clock_two_hours_ahead_erases_nothing_early_however_long_it_stays_so(doomed):
    report = run(make.NOW + 2 * HOUR)
    assert not report.may_erase
    assert "set forward" in report.notice
    assert not gone(doomed)

    # 08:40 by a right clock: twenty minutes are still to go.
    run(make.NOW + 2 * HOUR + 40 * MINUTE)
    assert not gone(doomed)
    run(make.NOW + 3 * HOUR)
    assert gone(doomed)


def test_a_clock_that_goes_back_erases_nothing(doomed):
    run(make.NOW + HOUR - 10 * MINUTE)

    report = run(make.NOW - HOUR)

    assert not report.may_erase
    assert "gone back" in report.notice
    assert not gone(doomed)


def test_a_clock_that_disagrees_with_the_database_erases_nothing(doomed):
    report = rounds.run(lambda: make.NOW + HOUR, "test", off=2 * HOUR)

    assert not report.may_erase
    assert "differ by 2 hours" in report.notice
    assert not gone(doomed)


def test_after_a_round_that_failed_on_a_mesh_nothing_is_erased_and_it_says_so(doomed):
    make.round_(started_at=make.NOW, errors=[{"mesh": "KELP-7-A", "error": "SealError", "id": "01"}])

    report = run(make.NOW + HOUR)

    assert report.notice == "The round before did not get through every mesh, so this one erases nothing."
    assert not gone(doomed)


def test_after_a_round_that_was_stopped_nothing_is_erased(doomed):
    make.round_(started_at=make.NOW, state=RoundState.BROKEN)

    run(make.NOW + HOUR)

    assert not gone(doomed)
