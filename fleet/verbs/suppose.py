"""Asking what a change would do, and working the answer out chunk by chunk. Only the answer is ever written.

The rows are the truth and the queue is a hint, as with rounds: a chunk's sums and its rows go in together, and only
where nobody else has moved the answer on meanwhile. So it does not matter how many workers are handed the same number.
"""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from django.db import transaction

from fleet.models import Mesh, Supposal, SupposedChange
from fleet.planning.outage import NotCounted, Yearly
from fleet.planning.shortening import shortened
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import SupposingError, Supposition, as_data, from_data
from fleet.queries.clock import Clock
from fleet.queries.supposed_rows import found_in_book
from fleet.queries.supposing import Found, Supposing, Weighed, in_chunks
from fleet.verbs import journal
from fleet.verbs.chunk import Outcome
from fleet.verbs.kept_answers import let_go_but, lost

# An answer older than so many newer ones is let go: whoever wants it asks again.
MOST_KEPT = 20
# As long as the columns of the reasons.
MOST_CHARACTERS = 300


@transaction.atomic
def ask(change: Supposition, by: str, now: datetime) -> Supposal:
    """Write the question down; nobody works on it yet. Raises SupposingError where it cannot be asked."""
    if change.is_empty:
        raise SupposingError("", "Nothing is supposed yet: fill in at least one change.")
    supposed = found_in_book(change)
    words = shortened(supposed.words, 400)
    total = Mesh.objects.filter(in_care=True).count()
    row = Supposal.objects.create(
        asked=as_data(supposed.change),
        words=words,
        asked_by=by[:120],
        asked_at=now,
        sign_at=now,
        total=total,
        tally=Tally().as_data(),
    )
    let_go_but(Supposal, MOST_KEPT)
    journal.record(by, "what-if asked", "", now, supposed=words, meshes=total)
    return row


def go_on(supposal_id: int, clock: Clock, until: datetime | None = None) -> Outcome:
    """Work on an answer to its end, or put it down after `until`. At least one chunk gets done.

    One mesh that fails is noted, and the rest goes on. Trouble with the database is raised: the answer stays where it
    was, for whoever goes on with it next.
    """
    row = Supposal.objects.filter(pk=supposal_id, finished_at=None).first()
    if row is None:
        return Outcome.ELSEWHERE
    try:
        shared = Supposing.load(found_in_book(from_data(row.asked)), row.asked_at)
    except SupposingError as error:
        _end(row, clock(), str(error))
        return Outcome.DONE
    for last, meshes in in_chunks(row.after_mesh):
        if not _put_in(row, shared.weigh(meshes), last, len(meshes), clock()):
            return Outcome.ELSEWHERE
        if until is not None and clock() >= until:
            return Outcome.PUT_DOWN
    _end(row, clock())
    return Outcome.DONE


def left_alone(now: datetime) -> list[int]:
    """Answers whose worker was lost; they are marked, so that the next look does not hand them out once more."""
    return lost(Supposal, now)


@transaction.atomic
def _put_in(row: Supposal, found: Found, last: int, meshes: int, now: datetime) -> bool:
    """False where somebody else has moved the answer on, or let it go."""
    mine = Supposal.objects.filter(pk=row.pk, after_mesh=row.after_mesh, finished_at=None)
    row.tally = (Tally(**row.tally) + found.tally).as_data()
    row.errors = [*row.errors, *map(asdict, found.troubles)]
    row.after_mesh, row.done, row.sign_at = last, row.done + meshes, now
    moved = mine.update(
        tally=row.tally, errors=row.errors, after_mesh=last, done=row.done, sign_at=row.sign_at
    )
    if moved:
        SupposedChange.objects.bulk_create(_rows(row, found.changed))
    return bool(moved)


def _rows(row: Supposal, changed: Sequence[Weighed]) -> list[SupposedChange]:
    return [
        SupposedChange(
            supposal=row,
            mesh=each.mesh,
            was=each.before.readiness.state.value,
            becomes=each.after.readiness.state.value,
            rank=each.after.readiness.state.severity,
            why_was=shortened(each.before.readiness.reason, MOST_CHARACTERS),
            why_becomes=shortened(each.after.readiness.reason, MOST_CHARACTERS),
            hours_before=_hours(each.before.yearly),
            hours_after=_hours(each.after.yearly),
        )
        for each in changed
    ]


def _hours(yearly: Yearly | NotCounted) -> float | None:
    return None if isinstance(yearly, NotCounted) else yearly.hours


def _end(row: Supposal, now: datetime, refused: str = "") -> None:
    Supposal.objects.filter(pk=row.pk, after_mesh=row.after_mesh, finished_at=None).update(
        finished_at=now, sign_at=now, refused=refused[:400]
    )
