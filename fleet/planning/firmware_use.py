"""May a build go into homes? The answer from the firm's policy on it, and how far a passage of it has come (row F3)."""

from dataclasses import dataclass

from fleet.planning.capabilities import FirmwareState
from fleet.planning.rings import IN_HOMES, RingKind

MAY_BE_TRIED = (FirmwareState.TRIAL, FirmwareState.ALLOWED, FirmwareState.PREFERRED)
"""Policies under which a build may go out ring by ring."""
IN_USE = (FirmwareState.ALLOWED, FirmwareState.PREFERRED)
HELD_BACK = (FirmwareState.HOLD, FirmwareState.BARRED)
"""Policies that stop a passage at once."""


@dataclass(frozen=True, slots=True)
class Answer:
    """Yes or no, and why in one sentence that can stand alone. by_ring: only as far as its passage has come."""

    may: bool
    because: str
    by_ring: bool = False


def may_go_into_homes(
    state: FirmwareState, reason: str = "", ring: RingKind | None = None, stopped: bool = False
) -> Answer:
    """reason: why the policy is what it is. ring: the open ring of a passage to this build; stopped: it is stopped."""
    if state in HELD_BACK:
        stands = "barred" if state is FirmwareState.BARRED else "on hold"
        return Answer(False, f"No: it is {stands}. {reason}".strip())
    if state is FirmwareState.SEEN:
        return Answer(False, "No: it was only seen; nobody has tried it.")
    if stopped:
        return Answer(False, "No: its passage is stopped.")
    if ring is not None:
        return _by_ring(ring)
    if state is FirmwareState.TRIAL:
        return Answer(False, "No: it is on trial, and no passage has brought it to homes yet.")
    return Answer(True, f"Yes: it is {state}.")


def _by_ring(ring: RingKind) -> Answer:
    if ring in IN_HOMES:
        which = "a few homes that were drawn" if ring is RingKind.FEW else "the homes of the last ring"
        return Answer(True, f"Only into {which}: its passage has come so far.", by_ring=True)
    return Answer(False, f"Not yet: its passage is at its ring {ring.words}.")
