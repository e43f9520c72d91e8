"""The thirteen states of a replacement and the moves between them that are legal. Common practice, no source.

Forward in order, from asked to closed. It may be dropped only while the old radio still speaks. Backing out begins
once it was silenced, and ends with the old radio back or with neither radio speaking to the mesh; a stranded mesh is
joined again device by device, or the old radio comes back after all.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class State(StrEnum):
    """Where a replacement stands."""

    ASKED = "asked"
    AGREED = "agreed"
    PACKED = "packed"
    ARRIVED = "arrived"
    SILENCED = "silenced"
    WRITTEN = "written"
    WAKING = "waking"
    ACCEPTED = "accepted"
    CLOSED = "closed"
    BACKING_OUT = "backing_out"
    BACKED_OUT = "backed_out"
    STRANDED = "stranded"
    DROPPED = "dropped"

    @property
    def words(self) -> str:
        """As people read it."""
        return self.value.replace("_", " ")


FORWARD = (
    State.ASKED,
    State.AGREED,
    State.PACKED,
    State.ARRIVED,
    State.SILENCED,
    State.WRITTEN,
    State.WAKING,
    State.ACCEPTED,
    State.CLOSED,
)
ENDED = frozenset({State.CLOSED, State.DROPPED})
"""Nothing follows."""
NOBODY_SPEAKS = frozenset({State.SILENCED, State.WRITTEN, State.BACKING_OUT, State.STRANDED})
"""The old radio is off and the new one not yet on: the home does without, and the clock runs."""
NEW_SPEAKS = frozenset({State.WAKING, State.ACCEPTED})
WATCHED = NEW_SPEAKS | {State.BACKED_OUT}
"""A radio speaks again, and somebody sees who answers it."""

_MAY_DROP = (State.ASKED, State.AGREED, State.PACKED, State.ARRIVED)
_MAY_BACK_OUT = (State.SILENCED, State.WRITTEN, State.WAKING, State.ACCEPTED)
_ASIDE = {
    **dict.fromkeys(_MAY_DROP, (State.DROPPED,)),
    **dict.fromkeys(_MAY_BACK_OUT, (State.BACKING_OUT,)),
    State.BACKING_OUT: (State.BACKED_OUT, State.STRANDED),
    State.STRANDED: (State.WAKING, State.BACKED_OUT),
    State.BACKED_OUT: (State.CLOSED,),
}
LEGAL: Mapping[State, tuple[State, ...]] = MappingProxyType(
    {
        state: (
            *(FORWARD[FORWARD.index(state) + 1 :][:1] if state in FORWARD else ()),
            *_ASIDE.get(state, ()),
        )
        for state in State
    }
)
"""From each state to those that may follow, the way forward first."""


class IllegalMove(ValueError):
    """A move that no rule allows; the sentence names both states and what would be right."""


def insist_on_move(was: State, to: State) -> None:
    """Raises IllegalMove unless `to` may follow `was`."""
    if to in LEGAL[was]:
        return
    right = " or ".join(state.words for state in LEGAL[was])
    raise IllegalMove(
        f"state: {to.words} cannot follow {was.words}; "
        + (f"what may follow is {right}." if right else "nothing follows.")
    )
