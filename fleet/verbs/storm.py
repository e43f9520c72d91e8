"""Asking what a storm would do, and playing it. Only the exercise is written; it can be played again from its row."""

from datetime import datetime
from random import Random

from django.db import transaction

from fleet.models import StormExercise
from fleet.planning.shortening import shortened
from fleet.planning.storm import asking
from fleet.planning.storm import case as cases
from fleet.planning.storm.answer import answered, steps
from fleet.queries.clock import Clock
from fleet.queries.storm import case_of
from fleet.verbs import journal
from fleet.verbs.chunk import Outcome
from fleet.verbs.kept_answers import let_go_but, lost

MOST_KEPT = 20
TOLD_EVERY = 25
"""So many runs lie between two signs of life."""


@transaction.atomic
def ask(asked: asking.Asked, by: str, now: datetime) -> StormExercise:
    """Write an exercise down, with the case as the book has it; nobody plays it yet. Raises StormError."""
    found = case_of(asked, now)
    homes = len({mesh.home for mesh in found.case.meshes})
    words = shortened(f"{asked.words}, {_people(len(found.case.goers))}", 400)
    row = StormExercise.objects.create(
        asked=asking.as_data(asked),
        words=words,
        asked_by=by[:120],
        asked_at=now,
        sign_at=now,
        seed=asked.seed,
        runs=asked.runs,
        total=steps(found.case, asked.runs),
        case={**cases.as_data(found.case), "left_out": list(found.left_out)},
    )
    let_go_but(StormExercise, MOST_KEPT)
    journal.record(by, "storm asked", "", now, storm=words, homes=homes, seed=asked.seed, runs=asked.runs)
    return row


def play(storm_id: int, clock: Clock) -> Outcome:
    """Play an exercise to its end. Whoever plays it, and however often, comes to the same answer."""
    row = StormExercise.objects.filter(pk=storm_id, finished_at=None).first()
    if row is None:
        return Outcome.ELSEWHERE
    mine = StormExercise.objects.filter(pk=row.pk, finished_at=None)

    def step(done: int) -> None:
        if done % TOLD_EVERY == 0:
            mine.update(done=done, sign_at=clock())

    found = answered(cases.from_data(row.case), row.runs, draws(row.seed), step)
    now = clock()
    ended = mine.update(answer=found.as_data(), done=row.total, finished_at=now, sign_at=now)
    return Outcome.DONE if ended else Outcome.ELSEWHERE


def draws(seed: int):  # type: ignore[no-untyped-def]
    """The source of draws of each run, by its number: the same seed and number give the same draws anywhere."""
    return lambda number: Random(f"storm-{seed}-{number}")


def left_alone(now: datetime) -> list[int]:
    """Exercises whose worker was lost; they are marked, so that the next look does not hand them out once more."""
    return lost(StormExercise, now)


def _people(count: int) -> str:
    return "nobody to send" if not count else "1 person" if count == 1 else f"{count} people"
