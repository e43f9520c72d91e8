"""Holding a drill: begin it where nothing can be heard, give the spare its document, time each step, and end it.

The spare holds the live key from the moment its document is given out: it is then no spare until it was wiped and
proven blank (verbs.stock), whatever the drill came to.
"""

from datetime import datetime

from django.db import transaction

from fleet.models import (
    Drill,
    DrillKind,
    DrillResult,
    Grade,
    Mesh,
    Radio,
    RadioState,
    Rehearsal,
    RehearsalEnd,
    RehearsalStep,
)
from fleet.planning import drills
from fleet.planning.drilling.steps import ORDER, WORDS, Step, following
from fleet.planning.replacing.states import NOBODY_SPEAKS
from fleet.queries.drilling.spares import planned_radio
from fleet.queries.readiness import head_in_service
from fleet.queries.spares import SpareShelf
from fleet.verbs import journal
from fleet.verbs.assess import assess
from fleet.verbs.drilling.bench import (
    DrillRefused,
    Intent,
    insist_on_spare,
    insist_still_blank,
    insist_words,
    uses_up,
)
from fleet.verbs.grant import DrillGrant, Request, drill_document


@transaction.atomic
def begin(mesh: Mesh, intent: Intent, by: str, now: datetime) -> Rehearsal:
    """Begin a drill; the clock of its first step runs from now. Raises DrillRefused."""
    mesh = _held(mesh)
    _insist_on_mesh(mesh, intent)
    row = Rehearsal(mesh=mesh, kind=intent.kind, begun_at=now, by=by[:120])
    if intent.kind == DrillKind.BENCH:
        insist_words("spot", intent.spot)
        _set_bench(row, insist_on_spare(mesh, intent), intent)
    row.save(force_insert=True)
    first = ORDER[drills.DrillKind(row.kind)][0]
    RehearsalStep.objects.create(rehearsal=row, step=first.value, began_at=now)
    journal.record(
        by,
        "drill begun",
        mesh.code,
        now,
        drill=str(row.uid),
        kind=row.kind,
        radio=row.radio.code if row.radio else "",
        place=row.place.code if row.place else "",
        setup=row.setup,
        nothing_radiates=row.nothing_radiates,
    )
    return row


@transaction.atomic
def give_out(row: Rehearsal, by: str, now: datetime, second: str = "") -> DrillGrant:
    """The document for the spare, at the step that writes it, with numbers for this drill alone.

    Again at the same step: every file has a higher range. Raises DrillRefused, or GrantRefused as restoring does.
    """
    row = _under_way(row)
    current = _current(row)
    if current is None or current.step != Step.WRITE or row.radio is None:
        raise DrillRefused(f"step: the document is given out at the step “{WORDS[Step.WRITE].name}”.")
    if row.written_at is None:
        insist_still_blank(row.radio)
    request = Request(row.radio, by, f"Drill {row.uid}", second)
    grant = drill_document(row.mesh, request, now)
    _mark_written(row.radio, row.mesh)
    row.snapshot, row.written_at = grant.snapshot, now
    row.range_first, row.range_last = grant.numbers.first, grant.numbers.last
    row.range_until = grant.numbers.until
    row.save(update_fields=["snapshot", "written_at", "range_first", "range_last", "range_until"])
    return grant


@transaction.atomic
def finish_step(row: Rehearsal, seen: Step, problem: str, by: str, now: datetime) -> Rehearsal:
    """The step that somebody sees on the card is done; the clock of the next one runs. Raises DrillRefused."""
    row = _under_way(row)
    insist_words("problem", problem)
    current = _current(row)
    if current is None or current.step != seen:
        stands = f"“{current.get_step_display()}”" if current else "to be ended"
        raise DrillRefused(f"step: the drill is at {stands} by now; look again before you go on.")
    if seen is Step.WRITE and row.written_at is None:
        raise DrillRefused("step: no file was given out for the spare yet; take it first, then write it.")
    _close(current, problem, now)
    after = following(drills.DrillKind(row.kind), seen)
    if after is not None:
        RehearsalStep.objects.create(rehearsal=row, step=after.value, began_at=now)
    journal.record(by, "drill step done", row.mesh.code, now, drill=str(row.uid), step=seen.value)
    return row


@transaction.atomic
def end(row: Rehearsal, how: RehearsalEnd, note: str, by: str, now: datetime) -> Rehearsal:
    """Passed, failed (the note says what), or aborted (the note says why). Raises DrillRefused.

    Passed and failed leave a Drill, by which readiness is judged at once; aborted leaves none, and a mesh that was
    drawn stays drawn.
    """
    row = _under_way(row)
    note = note.strip()
    insist_words("note", note)
    current = _current(row)
    if how == RehearsalEnd.PASSED:
        _insist_passed(row, current, now)
    elif not note:
        what = "what failed" if how == RehearsalEnd.FAILED else "why it is aborted"
        raise DrillRefused(f"note: nothing was written; say in a few words {what}.")
    if current is not None:
        _close(current, "", now, is_cut_short=True)
    row.ended_at, row.end, row.note = now, how, note[:300]
    row.drill = None if how == RehearsalEnd.ABORTED else _drill_of(row, DrillResult(how.value), by, now)
    row.save(update_fields=["ended_at", "end", "note", "drill"])
    journal.record(
        by,
        f"drill {how.value}",
        row.mesh.code,
        now,
        drill=str(row.uid),
        kind=row.kind,
        radio=row.radio.code if row.radio else "",
        note=row.note,
    )
    if row.drill is not None and row.mesh.in_care:
        assess(row.mesh, SpareShelf.load(), now)
    return row


def _held(mesh: Mesh) -> Mesh:
    Mesh.objects.select_for_update(of=("self",)).get(pk=mesh.pk)
    return Mesh.objects.select_related("site__client", "best_spare").get(pk=mesh.pk)


def _under_way(row: Rehearsal) -> Rehearsal:
    """The row, held until the transaction ends, its mesh held first as verbs do, and its radio before it is joined."""
    Mesh.objects.select_for_update(of=("self",)).get(pk=row.mesh_id)
    Rehearsal.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if row.radio_id:
        Radio.objects.select_for_update(of=("self",)).get(pk=row.radio_id)
    near = (
        "mesh__site__client",
        "mesh__best_spare",
        "mesh__keep_rule",
        "radio__model",
        "radio__firmware",
        "place",
    )
    row = Rehearsal.objects.select_related(*near).get(pk=row.pk)
    if row.ended_at is not None:
        raise DrillRefused(
            f"drill: it was ended as {row.end} on {row.ended_at:%Y-%m-%d %H:%M} UTC; begin another."
        )
    return row


def _current(row: Rehearsal) -> RehearsalStep | None:
    return row.steps.filter(ended_at=None).first()


def _close(step: RehearsalStep, problem: str, now: datetime, *, is_cut_short: bool = False) -> None:
    step.ended_at, step.problem = max(now, step.began_at), problem.strip()[:300]
    step.is_cut_short = is_cut_short
    step.save(update_fields=["ended_at", "problem", "is_cut_short"])


def _insist_on_mesh(mesh: Mesh, intent: Intent) -> None:
    if mesh.site.client.erased_at is not None:
        raise DrillRefused(f"mesh: {mesh.code} was erased with its client; there is nothing to rehearse.")
    if intent.kind == DrillKind.LIVE:
        raise DrillRefused(
            "kind: a live swap is a replacement; begin one, and it counts as a drill by itself."
        )
    under_way = mesh.rehearsals.filter(ended_at=None).first()
    if under_way is not None:
        raise DrillRefused(
            f"mesh: a drill of {mesh.code} is under way since {under_way.begun_at:%Y-%m-%d %H:%M} UTC; end that one."
        )
    swap = mesh.replacements.under_way().first()
    if swap is not None and swap.stands in NOBODY_SPEAKS:
        raise DrillRefused(f"mesh: nobody speaks in {mesh.code} now; bring it back first, then rehearse.")


def _set_bench(row: Rehearsal, radio: Radio, intent: Intent) -> None:
    head = head_in_service(row.mesh)
    plan = planned_radio(row.mesh)
    row.radio, row.place, row.spot = radio, intent.place, intent.spot.strip()[:200]
    row.setup = intent.setup.value if intent.setup else ""
    row.nothing_radiates = intent.nothing_radiates
    row.source_release = head.radio.firmware if head else None
    row.target_release = radio.firmware
    row.own_pair_only = plan is not None and plan.firmware_id != radio.firmware_id


def _mark_written(radio: Radio, mesh: Mesh) -> None:
    """It may hold the live key: no spare any more, and it leaves the firm for nowhere until it was wiped."""
    if uses_up(radio, mesh):
        radio.address_written, radio.carried_address = True, mesh.head_address
    radio.state = RadioState.SILENCED
    radio.blank_proven_at, radio.blank_proven_by = None, ""
    radio.save(
        update_fields=["state", "blank_proven_at", "blank_proven_by", "address_written", "carried_address"]
    )


def _insist_passed(row: Rehearsal, current: RehearsalStep | None, now: datetime) -> None:
    if current is not None:
        raise DrillRefused(
            f"step: “{current.get_step_display()}” is not done yet; a drill passes when all steps are."
        )
    if row.steps.count() != len(ORDER[drills.DrillKind(row.kind)]):
        raise DrillRefused("step: not every step was done; a drill passes when all steps are.")
    if row.range_until is not None and now > row.range_until:
        raise DrillRefused(
            f"end: its numbers were its own until {row.range_until:%Y-%m-%d %H:%M} UTC; the live radio may have come "
            "to them since. Abort it, wipe the spare, and hold it again."
        )


def _drill_of(row: Rehearsal, result: DrillResult, by: str, now: datetime) -> Drill:
    """The drill as everything that judges and counts drills knows it. A pair that was never written was not tried."""
    tried = row.written_at is not None
    copy = row.snapshot
    if tried and result == DrillResult.PASSED and copy is not None and copy.grade == Grade.SEEN_LIVE:
        copy.grade = Grade.PROVEN
        copy.save(update_fields=["grade"])
    return Drill.objects.create(
        mesh=row.mesh,
        kind=row.kind,
        result=result,
        done_at=now,
        minutes=round((now - row.begun_at).total_seconds() / 60),
        snapshot=copy,
        radio=row.radio if tried else None,
        source_release=row.source_release if tried else None,
        target_release=row.target_release if tried else None,
        by=by[:120],
        own_pair_only=row.own_pair_only,
    )
