"""However a round is shared out, killed and taken up again, it ends as one that nobody disturbed."""

from datetime import timedelta

import pytest
from django.conf import settings as configured
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.models import Custody, Finding, JournalEntry, ReadinessChange, RoundState, Snapshot
from fleet.verbs import round as rounds
from fleet.verbs.chunk import Holder
from tests import make
from tests.fleet.verbs.covered import covered_mesh
from tests.fleet.verbs.killing import Killed, killed_after

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LEASE = timedelta(seconds=configured.ROUND_LEASE_SECONDS)

# Who works on which chunk, after how many meshes it is killed (0: never), and how much time passes then.
TURNS = st.lists(
    st.tuples(
        st.sampled_from(["north", "south"]), st.integers(1, 3), st.integers(0, 3), st.sampled_from([0, 1, 5])
    ),
    max_size=12,
)


@pytest.fixture
def book(db, settings):
    """Six meshes in chunks of two; some copies are due to go, some are to be marked, some meshes have changed."""
    settings.ROUND_CHUNK = 2
    rule = make.keep_rule(days=2, weeks=0, months=0, years=0)
    for hours in range(13, 0, -1):
        make.round_(started_at=make.NOW - hours * HOUR, total=0, done=0)
    for number in range(6):
        mesh = covered_mesh(keep_rule=rule, assessed_at=make.NOW - HOUR, readiness="covered")
        make.snapshot(mesh, taken_at=make.NOW - 20 * DAY)
        gone = make.snapshot(mesh, taken_at=make.NOW - 30 * DAY)
        Snapshot.objects.filter(pk=gone.pk).update(
            custody=Custody.DOOMED, doomed_at=make.NOW - (6 + number % 3) * DAY
        )
        if number % 2:
            mesh.drills.all().delete()


def state():
    """All that a round writes."""
    return {
        "meshes": list(
            ReadinessChange.objects.order_by("mesh").values_list("mesh", "was", "became", "gate", "at")
        ),
        "copies": list(Snapshot.objects.order_by("pk").values_list("pk", "custody", "doomed_at", "gone_at")),
        "findings": list(Finding.objects.order_by("mesh", "code").values_list("mesh", "code", "message")),
        "journal": sorted(JournalEntry.objects.values_list("what", "subject")),
    }


def undisturbed():
    with transaction.atomic():
        report = rounds.run(lambda: make.NOW, by="test")
        found = state(), (report.done, report.marked, report.erased)
        transaction.set_rollback(True)
    return found


def at(moment):
    return lambda: moment


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(turns=TURNS)
def test_a_round_that_is_killed_anywhere_ends_as_one_that_nobody_disturbed(book, turns):
    expected = undisturbed()
    now = make.NOW
    with transaction.atomic():
        report = rounds.begin(now, by="test")
        for name, number, steps, minutes in turns:
            try:
                rounds.run_chunk(report.pk, number, Holder(name), at(now), killed_after(steps))
            except Killed:
                # Without a word: the chunk is as it was at the last mesh, and still held.
                report.chunks.filter(number=number, finished_at=None).update(token=name)
            now += minutes * timedelta(minutes=1)
        for _ in range(3):
            now += LEASE + timedelta(minutes=1)
            for number in (rounds.mend(now) or (0, []))[1]:
                rounds.run_chunk(report.pk, number, Holder("care"), at(now))
        report.refresh_from_db()
        assert report.state == RoundState.DONE
        assert (state(), (report.done, report.marked, report.erased)) == expected
        assert expected[1][2] > 0
        transaction.set_rollback(True)
