"""Sheets compared and made anew by several workers, some of them killed: what only a real PostgreSQL can show."""

import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings

from fleet.queries.clock import book_time
from fleet.queries.spares import SpareShelf
from reports.models import Remaking, Sheet, SheetToMake
from reports.queries.subjects import handover_of
from reports.verbs import issuing, remaking, stale
from tests import make
from tests.reports.papers import home_with_papers, newest
from tests.servers.together import together

pytestmark = pytest.mark.django_db(transaction=True)

ROOT = Path(__file__).resolve().parents[2]
HOMES = 6
KILLS = 4
PATIENCE_SECONDS = 60


@pytest.fixture
def homes():
    """Homes whose sheets were issued, and whose contact has changed since."""
    found = [home_with_papers(f"KELP-{number}") for number in range(1, HOMES + 1)]
    Sheet.objects.update(checked_at=book_time().now - timedelta(hours=1))
    for mesh in found:
        mesh.site.contacts.update(name="Tobias")
    return found


def marked() -> None:
    time_ = book_time()
    stale.mark_stale(time_.now, time_.clock)


def assert_each_has_two_revisions() -> None:
    counted = Counter(Sheet.objects.values_list("kind", "about"))
    assert (len(counted), set(counted.values())) == (2 * HOMES, {2})
    assert not remaking.stale().exists()


def test_workers_share_the_comparing_and_each_sheet_is_compared_by_one(homes, monkeypatch):
    monkeypatch.setattr(stale, "BLOCK", 2)
    time_, done = book_time(), []

    def compare() -> None:
        done.append(stale.mark_stale(time_.now, time_.clock))

    assert together(compare, compare, compare) == []
    assert sum((each for each in done), start=stale.Marked()) == stale.Marked(2 * HOMES, 2 * HOMES, 0)
    assert remaking.stale().count() == 2 * HOMES


def test_workers_share_the_making_and_no_sheet_is_made_twice(homes):
    marked()
    begun = remaking.begin(remaking.stale(), "Orla", book_time().now)
    done = []

    def work() -> None:
        done.append(remaking.work(book_time().clock))

    assert together(work, work, work) == []
    assert sum(done) == 2 * HOMES
    assert_each_has_two_revisions()
    begun.refresh_from_db()
    assert begun.finished_at is not None


def test_two_who_ask_at_once_for_the_same_sheets_ask_once(homes):
    marked()

    def begin() -> None:
        remaking.begin(remaking.stale(), "Orla", book_time().now)

    assert together(begin, begin, begin) == []
    assert (Remaking.objects.count(), SheetToMake.objects.count()) == (1, 2 * HOMES)


def test_a_button_the_schedule_and_a_worker_at_one_sheet_make_one_revision(homes):
    sheet = newest(homes[0], "handover")

    def revise() -> None:
        row = issuing.compared().get(pk=sheet.pk)
        issuing.revise(row, "somebody", book_time().now, SpareShelf.load())

    def press() -> None:
        issuing.issue(handover_of(homes[0].site), "Orla", book_time().now)

    assert together(revise, press, revise, press) == []
    assert sheet.site.sheets.filter(kind="handover").count() == 2


def test_two_who_issue_the_first_sheet_of_a_home_issue_one():
    make.firm()
    mesh = make.mesh()
    make.service(mesh)

    def press() -> None:
        issuing.issue(handover_of(mesh.site), "Orla", book_time().now)

    assert together(press, press, press) == []
    assert mesh.site.sheets.count() == 1


def test_workers_that_are_killed_leave_nothing_half_done_and_the_next_go_on(homes):
    marked()
    remaking.begin(remaking.stale(), "Orla", book_time().now)
    for number in range(KILLS):
        worker = subprocess.Popen(
            [sys.executable, "manage.py", "sheets", "remake"],
            cwd=ROOT,
            env={
                **os.environ,
                "SPAREBOOK_DATABASE": _this_database(),
                "SPAREBOOK_HOME": str(Path(settings.SHEETS_FOLDER).parent),
            },
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        _wait_until(lambda number=number, worker=worker: _done() > number or worker.poll() is not None)
        worker.kill()
        worker.wait()
        # As when the two minutes of a claim are over.
        SheetToMake.objects.filter(held_until__isnull=False).update(held_until=book_time().now)

    assert _done() > 0
    remaking.work(book_time().clock)

    assert_each_has_two_revisions()
    assert SheetToMake.objects.exclude(error="").count() == 0
    for sheet in Sheet.objects.filter(revision=2):
        assert sheet.file.storage.exists(sheet.file.name)


def _done() -> int:
    return SheetToMake.objects.filter(done_at__isnull=False).count()


def _wait_until(happens: Callable[[], bool]) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while not happens():
        assert time.monotonic() < until
        time.sleep(0.01)


def _this_database() -> str:
    given = settings.DATABASES["default"]
    return f"postgresql://{given['USER']}@{given['HOST']}:{given['PORT'] or 5432}/{given['NAME']}"
