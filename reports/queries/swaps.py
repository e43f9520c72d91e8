"""Replacements as months and evidence packs tell of them: when silenced, accepted or undone, and how long it took."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from fleet.models import Replacement, ReplacementMove, Why
from fleet.planning.replacing.states import State

UNDONE = (State.BACKING_OUT, State.STRANDED)
CALLED_FOR = (Why.FAILED, Why.THEFT)
"""The home is without its network from the call on; else from when the old radio is silenced."""


@dataclass(frozen=True, slots=True)
class Swap:
    """One replacement up to a moment: its first moves to each state, and the state it had come to."""

    row: Replacement
    state: State
    silenced_at: datetime | None
    accepted_at: datetime | None
    undone_at: datetime | None

    @property
    def minutes(self) -> int | None:
        """How long the home was without, from the call or the silencing to acceptance; None before it."""
        began = self.row.asked_at if self.row.why in CALLED_FOR else self.silenced_at
        if began is None or self.accepted_at is None or self.accepted_at < began:
            return None
        return round((self.accepted_at - began) / timedelta(minutes=1))


def swaps_moved(start: datetime, end: datetime) -> QuerySet[Replacement]:
    """Those with a move from start to end. Two statements."""
    moved = Replacement.objects.filter(moves__at__gte=start, moves__at__lt=end).distinct()
    near = moved.select_related("mesh__site", "old_radio", "new_radio")
    return near.prefetch_related("moves").order_by("asked_at", "pk")


def swap_of(row: Replacement, end: datetime) -> Swap:
    """As it stood at a moment. Its moves must have been read."""
    moves = [move for move in row.moves.all() if move.at < end]
    return Swap(
        row,
        State(moves[-1].became) if moves else State.ASKED,
        _first(moves, (State.SILENCED,)),
        _first(moves, (State.ACCEPTED,)),
        _first(moves, UNDONE),
    )


def _first(moves: Sequence[ReplacementMove], states: Sequence[State]) -> datetime | None:
    return next((move.at for move in moves if move.became in states), None)
