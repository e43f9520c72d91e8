"""Weighing which radio is worth swapping first, chunk by chunk; only the order is written.

The rows are the truth and the queue is a hint, as with what is supposed (verbs/suppose): a chunk's rows go in together,
and only where nobody else has moved the order on meanwhile.
"""

from dataclasses import asdict
from datetime import date, datetime

from django.db import transaction

from fleet.models import Mesh, RadioModel, RankedSwap, SupportEnd, SwapRanking
from fleet.planning.priority import Weights, in_order, worst_of
from fleet.queries.clock import Clock
from fleet.queries.next_swaps import WeighedSome, Weighing, as_data, facts_from
from fleet.queries.supposing import in_chunks
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal
from fleet.verbs.chunk import Outcome
from fleet.verbs.kept_answers import let_go_but, lost

MOST_KEPT = 3
ROWS_AT_ONCE = 500


class SupportError(ValueError):
    """What was said of a radio type's support cannot be; the sentence names the field and what would be right."""


@transaction.atomic
def ask(by: str, now: datetime, weights: Weights | None = None) -> SwapRanking:
    """Begin a new order; nobody works on it yet. One that is under way is gone on with instead."""
    under_way = SwapRanking.objects.select_for_update().filter(finished_at=None).first()
    if under_way is not None:
        return under_way
    row = SwapRanking.objects.create(
        asked_by=by[:120],
        asked_at=now,
        sign_at=now,
        total=Mesh.objects.filter(in_care=True).count(),
        weights=asdict(weights or Weights()),
    )
    let_go_but(SwapRanking, MOST_KEPT)
    journal.record(by, "swaps ranked", "", now, meshes=row.total)
    return row


def go_on(ranking_id: int, clock: Clock, until: datetime | None = None) -> Outcome:
    """Work on an order to its end, or put it down after `until`. At least one chunk gets done.

    Trouble with the database is raised: the order stays where it was, for whoever goes on with it next.
    """
    row = SwapRanking.objects.filter(pk=ranking_id, finished_at=None).first()
    if row is None:
        return Outcome.ELSEWHERE
    shared = Weighing.load(row.asked_at)
    for last, meshes in in_chunks(row.after_mesh):
        if not _put_in(row, shared.weigh(meshes), last, len(meshes), clock()):
            return Outcome.ELSEWHERE
        if until is not None and clock() >= until:
            return Outcome.PUT_DOWN
    return Outcome.DONE if _end(row, clock()) else Outcome.ELSEWHERE


def left_alone(now: datetime) -> list[int]:
    """Orders whose worker was lost; they are marked, so that the next look does not hand them out once more."""
    return lost(SwapRanking, now)


@transaction.atomic
def _put_in(row: SwapRanking, found: WeighedSome, last: int, meshes: int, now: datetime) -> bool:
    """False where somebody else has moved the order on, or let it go."""
    mine = SwapRanking.objects.filter(pk=row.pk, after_mesh=row.after_mesh, finished_at=None)
    row.errors = [*row.errors, *map(asdict, found.troubles)]
    row.after_mesh, row.done, row.sign_at = last, row.done + meshes, now
    if not mine.update(errors=row.errors, after_mesh=last, done=row.done, sign_at=now):
        return False
    RankedSwap.objects.bulk_create(
        RankedSwap(ranking=row, mesh=each.mesh, facts=as_data(each.facts), told=dict(each.told))
        for each in found.rows
    )
    return True


@transaction.atomic
def _end(row: SwapRanking, now: datetime) -> bool:
    """Put the rows in order: only now is it known which figure is the worst of the book."""
    mine = SwapRanking.objects.filter(pk=row.pk, after_mesh=row.after_mesh, finished_at=None)
    rows = {each.facts["code"]: each for each in row.rows.defer("told")}
    facts = [facts_from(each.facts) for each in rows.values()]
    for number, place in enumerate(in_order(facts, Weights(**row.weights)), 1):
        each = rows[place.facts.code]
        each.place, each.worth = number, place.worth
    RankedSwap.objects.bulk_update(rows.values(), ["place", "worth"], batch_size=ROWS_AT_ONCE)
    return bool(mine.update(finished_at=now, sign_at=now, worst=asdict(worst_of(facts))))


@transaction.atomic
def say_support(model: RadioModel, last_day: date, said_by: str, by: str, now: datetime) -> SupportEnd:
    """Write down until when a radio type is supported, and who says so. Raises SupportError."""
    said_by = " ".join(said_by.split())
    if not said_by:
        raise SupportError(
            "said_by: nothing was written; say who says so, such as the maker's letter of May."
        )
    if looks_secret(said_by):
        raise SupportError("said_by: this looks like a code or a key; write words only.")
    row, _ = SupportEnd.objects.update_or_create(
        model=model,
        defaults={"last_day": last_day, "said_by": said_by[:200], "noted_at": now, "noted_by": by[:120]},
    )
    journal.record(
        by, "support end noted", model.code, now, last_day=last_day.isoformat(), said_by=row.said_by
    )
    return row
