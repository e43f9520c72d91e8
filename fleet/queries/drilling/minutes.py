"""What the steps of the firm's own drills took, as estimates use it."""

from collections import defaultdict

from fleet.models import DrillKind, RehearsalEnd, RehearsalStep
from fleet.planning.drilling.minutes import Recorded, recorded_work
from fleet.planning.drilling.steps import MEASURES, Step

NEWEST = 100
"""Of each step: the firm of ten years ago is another."""


def recorded_minutes() -> Recorded:
    """From the newest bench drills that were ended as passed or failed. One statement.

    A step under way when a drill failed was cut short, and does not count.
    """
    ended = RehearsalStep.objects.filter(
        rehearsal__kind=DrillKind.BENCH,
        rehearsal__end__in=(RehearsalEnd.PASSED, RehearsalEnd.FAILED),
        step__in=[step.value for step in MEASURES],
        is_cut_short=False,
    )
    taken: dict[Step, list[float]] = defaultdict(list)
    rows = ended.order_by("-ended_at").values_list("step", "began_at", "ended_at")
    for word, began_at, ended_at in rows[: NEWEST * len(MEASURES)]:
        if ended_at is not None:
            taken[Step(word)].append((ended_at - began_at).total_seconds() / 60)
    return recorded_work(taken)
