"""One pass over the book: keep rules, freshness, readiness and standing findings of every mesh in care.

The rows are the truth and the queue is only a hint. A round is a row with chunks of meshes; whoever is handed the
number of a chunk works on it (`chunk.work_on`), in as many processes on as many hosts as there are. What was lost,
a message or a worker, is found again here from the rows (`mend`). Doing anything twice changes nothing.
"""

import os
import secrets
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import Max, QuerySet, Sum

from fleet.models import Round, RoundChunk, RoundState
from fleet.planning.clock import judge_clock, slot_of
from fleet.queries.clock import Clock
from fleet.verbs import chunk as chunks
from fleet.verbs import journal

# A round that began so long ago judges by a moment that has passed: it is broken off, and another may begin.
MOST_AGE = timedelta(hours=6)
MOMENTS_LOOKED_AT = 13

NO_TIME = timedelta(0)
Progress = Callable[[int, int], None]


class AlreadyRunning(Exception):
    """Another round is at work, or the one that was due has begun already; the sentence says which and since when."""


def run(clock: Clock, by: str, progress: Progress | None = None, off: timedelta = NO_TIME) -> Round:
    """Begin a round, or go on with one that has lost its workers, and finish it here. Raises AlreadyRunning.

    off: how far this machine's own clock is ahead of `clock`. Stopped on purpose (Ctrl-C), the round is broken off.
    """
    report = _silent(clock()) or begin(clock(), by, off)
    holder = chunks.Holder(f"{os.getpid()} {secrets.token_hex(8)}", by)
    done = sum(report.chunks.values_list("done", flat=True))

    def step() -> None:
        nonlocal done
        done += 1
        if progress:
            progress(done, report.total)

    try:
        for number in _open(report).values_list("number", flat=True):
            run_chunk(report.pk, number, holder, clock, step)
    except BaseException:
        stop(report.pk, by, clock())
        raise
    report.refresh_from_db()
    return report


def run_chunk(
    round_id: int,
    number: int,
    holder: chunks.Holder,
    clock: Clock,
    step: chunks.Step | None = None,
    until: datetime | None = None,
) -> chunks.Outcome:
    """Work on one chunk of a round, and close the round after the last one. As chunk.work_on."""
    outcome = chunks.work_on(round_id, number, holder, clock, step, until)
    if outcome is chunks.Outcome.DONE:
        finish(round_id, clock())
    return outcome


def begin(now: datetime, by: str, off: timedelta = NO_TIME, scheduled: bool = False) -> Round:
    """Write down a new round as of `now` with its chunks; nobody works on it yet. Raises AlreadyRunning.

    One that is scheduled takes the hour's slot: of two schedulers, one begins it. One that somebody asks for takes the
    slot only where it is free.
    """
    slot = slot_of(now)
    taken = Round.objects.filter(slot=slot).exists()
    try:
        with transaction.atomic():
            report = Round(started_at=now, last_sign_at=now, asked_by=by[:120])
            report.slot = slot if scheduled or not taken else None
            _judge_erasing(report, off)
            report.save()
            report.total = _share_out(report)
            report.save(update_fields=["total"])
    except IntegrityError:
        raise AlreadyRunning(_already(by)) from None
    if not report.total:
        finish(report.pk, now)
        report.refresh_from_db()
    return report


def _judge_erasing(report: Round, off: timedelta) -> None:
    """A round erases only by a clock without doubt, and after one whose picture of the book was whole."""
    last = Round.objects.order_by("-pk").first()
    before = Round.objects.order_by("-pk").values_list("started_at", flat=True)[:MOMENTS_LOOKED_AT]
    judgement = judge_clock(report.started_at, list(before), off)
    whole = last is None or (last.state == RoundState.DONE and not last.errors)
    report.may_erase = judgement.may_erase and whole
    report.notice, report.doubted_time = judgement.notice, judgement.doubted
    if not whole and not report.notice:
        report.notice = "The round before did not get through every mesh, so this one erases nothing."


def _share_out(report: Round) -> int:
    keys = list(chunks.in_care().order_by("pk").values_list("pk", flat=True))
    size = settings.ROUND_CHUNK
    parts = [keys[start : start + size] for start in range(0, len(keys), size)]
    RoundChunk.objects.bulk_create(
        RoundChunk(round=report, number=number, after_mesh=part[0] - 1, last_mesh=part[-1], size=len(part))
        for number, part in enumerate(parts, 1)
    )
    return len(keys)


def _already(by: str) -> str:
    running = Round.objects.filter(state=RoundState.RUNNING).first()
    if running is None:
        return f"The round of this hour has begun already; this one ({by}) leaves it at that."
    return f"A round is already running since {running.started_at:%Y-%m-%d %H:%M} UTC; this one ({by}) leaves it alone."


def is_due(now: datetime) -> bool:
    """True where the hour's round has not begun, however many schedulers were asleep when it should have."""
    begun = Round.objects.filter(slot=slot_of(now)).exists()
    return not begun and not Round.objects.filter(state=RoundState.RUNNING).exists()


def finish(round_id: int, now: datetime) -> bool:
    """Close the round when its last chunk is done; whoever comes first does it, and only one."""
    return _close(round_id, RoundState.DONE, now, lambda report: not _open(report).exists(), "")


def stop(round_id: int, by: str, now: datetime) -> bool:
    """Break a running round off. Whoever works on it sees so at the next mesh; what is done stays done."""
    return _close(round_id, RoundState.BROKEN, now, lambda report: True, by)


@transaction.atomic
def _close(
    round_id: int, state: RoundState, now: datetime, may: Callable[[Round], bool], stopped_by: str
) -> bool:
    report = Round.objects.select_for_update().filter(pk=round_id, state=RoundState.RUNNING).first()
    if report is None or not may(report):
        return False
    sums = report.chunks.aggregate(done=Sum("done"), marked=Sum("marked"), erased=Sum("erased"))
    for name, value in sums.items():
        setattr(report, name, value or 0)
    report.errors = [error for errors in report.chunks.values_list("errors", flat=True) for error in errors]
    report.state, report.finished_at = state, now
    report.save()
    report.chunks.all().delete()
    what = "round stopped" if state == RoundState.BROKEN else "round done"
    journal.record(
        stopped_by or report.asked_by, what, "", now, meshes=report.done, errors=len(report.errors)
    )
    return True


def mend(now: datetime) -> tuple[int, list[int]] | None:
    """The running round and the chunks to hand out again: those whose worker was lost, or all where nothing moves.

    Finishes a round whose chunks are all done, and breaks off one that is too old. None where no round runs.
    """
    report = Round.objects.filter(state=RoundState.RUNNING).first()
    if report is None or finish(report.pk, now):
        return None
    if now - report.started_at > MOST_AGE:
        stop(report.pk, "the round's care", now)
        return None
    lost = _open(report).filter(chunks.is_free(now))
    if not _is_silent(report, now):
        lost = lost.exclude(token="")
    numbers = list(lost.values_list("number", flat=True))
    if numbers:
        # Put down, so that the next look in a minute does not hand them out once more.
        lost.update(token="", holder="")
        Round.objects.filter(pk=report.pk).update(last_sign_at=now)
    return report.pk, numbers


def _silent(now: datetime) -> Round | None:
    """A running round that has lost its workers, taken over here; None where none runs or it is at work."""
    report = Round.objects.filter(state=RoundState.RUNNING).first()
    if report is None or not _is_silent(report, now):
        return None
    if now - report.started_at > MOST_AGE:
        stop(report.pk, "the round's care", now)
        return None
    mine = Round.objects.filter(pk=report.pk, last_sign_at=report.last_sign_at)
    return report if mine.update(last_sign_at=now) else None


def _is_silent(report: Round, now: datetime) -> bool:
    sign = report.chunks.aggregate(last=Max("sign_at"))["last"]
    last = max(report.last_sign_at, sign or report.last_sign_at)
    return abs(now - last) > chunks.lease()


def _open(report: Round) -> QuerySet[RoundChunk]:
    return report.chunks.filter(finished_at=None)
