"""One pass over the book: keep rules, freshness, readiness and standing findings of every mesh in care.

Every mesh is a transaction of its own, and the row says how far the round came: a killed round goes on where it
was, one failing mesh never stops the rest, and doing a mesh twice changes nothing.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from fleet.models import Mesh, Round, RoundState
from fleet.queries.spares import SpareShelf
from fleet.verbs import assess, journal, keep, repack

log = logging.getLogger(__name__)

# A round that has not moved for this long was killed; the next one goes on with it.
SILENCE = timedelta(minutes=10)
CHUNK = 100

Clock = Callable[[], datetime]
Progress = Callable[[int, int], None]


class AlreadyRunning(Exception):
    """Another round is at work; the sentence says since when."""


def run(clock: Clock, by: str, progress: Progress | None = None) -> Round:
    """Begin a round, or go on with one that was killed, and finish it. Raises AlreadyRunning."""
    report = _begin(clock(), by)
    complete = _last_was_complete(report)
    try:
        _pass_over(report, complete, clock, progress)
    except BaseException:
        # Stopped on purpose (Ctrl-C, a worker told to end): the next round need not wait to see that it is dead.
        report.state = RoundState.BROKEN
        report.finished_at = clock()
        report.save()
        raise
    report.finished_at = clock()
    report.state = RoundState.DONE
    report.save()
    journal.record(by, "round done", "", report.finished_at, meshes=report.done, errors=len(report.errors))
    return report


def _pass_over(report: Round, complete: bool, clock: Clock, progress: Progress | None) -> None:
    shelf = SpareShelf.load()
    while chunk := list(_meshes().filter(pk__gt=report.after_mesh).order_by("pk")[:CHUNK]):
        for mesh in chunk:
            _one(mesh, report, shelf, complete, clock)
            if progress:
                progress(report.done, report.total)


def _meshes() -> QuerySet[Mesh]:
    # Each mesh is judged by its home's agreement in three places: read once a chunk.
    meshes = Mesh.objects.filter(in_care=True).select_related("site__client", "keep_rule")
    return meshes.prefetch_related("site__agreements")


def _begin(now: datetime, by: str) -> Round:
    killed = Round.objects.filter(state=RoundState.RUNNING, last_sign_at__lt=now - SILENCE)
    # Taking over is one conditional update, so that of two that find it dead only one goes on with it.
    if killed.update(last_sign_at=now):
        return Round.objects.get(state=RoundState.RUNNING)
    try:
        with transaction.atomic():
            return Round.objects.create(started_at=now, last_sign_at=now, total=_meshes().count())
    except IntegrityError:
        running = Round.objects.filter(state=RoundState.RUNNING).first()
        since = f"since {running.started_at:%Y-%m-%d %H:%M} UTC" if running else "at this moment"
        raise AlreadyRunning(
            f"A round is already running {since}; this one ({by}) leaves it alone."
        ) from None


def _last_was_complete(report: Round) -> bool:
    """Nothing is erased after a round that failed on some mesh: its picture of the book was not whole."""
    last = Round.objects.exclude(pk=report.pk).first()
    return last is None or (last.state == RoundState.DONE and not last.errors)


def _one(mesh: Mesh, report: Round, shelf: SpareShelf, complete: bool, clock: Clock) -> None:
    now = clock()
    try:
        with transaction.atomic():
            kept = keep.apply_rule(mesh, now, complete)
            repack.repack(mesh, now)
            assess.assess(mesh, shelf, now)
    except Exception as error:
        # The kind of error only: its text might carry what it was working on.
        log.exception("round %s failed at mesh %s", report.pk, mesh.code)
        report.errors = [*report.errors, {"mesh": mesh.code, "error": type(error).__name__}]
    else:
        report.marked += kept.marked
        report.erased += kept.erased
    report.done += 1
    report.after_mesh = mesh.pk
    report.last_sign_at = now
    report.save()
