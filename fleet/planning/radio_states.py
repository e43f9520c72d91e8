"""How a radio may go from state to state by hand, on the shelf and after service. Common practice, no source.

On air is reached from a replacement only (prepared, or silenced with a new number), and left by being silenced there:
so neither is a move by hand. A radio that may hold a live key goes through wiped before anything else is done with it.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class RadioStanding(StrEnum):
    """The nine states; the rows name them alike."""

    SHELVED = "shelved"
    BOOKED = "booked"
    PREPARED = "prepared"
    ON_AIR = "on_air"
    SILENCED = "silenced"
    WIPED = "wiped"
    RETURNED = "returned"
    SCRAPPED = "scrapped"
    MISSING = "missing"

    @property
    def words(self) -> str:
        """As people read it."""
        return self.value.replace("_", " ")


_S = RadioStanding
BY_HAND: Mapping[RadioStanding, tuple[RadioStanding, ...]] = MappingProxyType(
    {
        _S.SHELVED: (_S.WIPED, _S.RETURNED, _S.SCRAPPED, _S.MISSING),
        _S.BOOKED: (_S.SHELVED, _S.MISSING),
        _S.PREPARED: (_S.SHELVED, _S.MISSING),
        _S.ON_AIR: (),
        _S.SILENCED: (_S.WIPED, _S.SCRAPPED, _S.MISSING),
        _S.WIPED: (_S.SHELVED, _S.RETURNED, _S.SCRAPPED, _S.MISSING),
        _S.RETURNED: (_S.SHELVED,),
        _S.SCRAPPED: (),
        _S.MISSING: (_S.SILENCED,),
    }
)
"""A missing radio that turns up is treated as one that holds a live key: silenced, then wiped."""
HOLDS_A_KEY = frozenset({_S.ON_AIR, _S.SILENCED})


class IllegalStanding(ValueError):
    """A state that cannot follow; the sentence says what may."""


def insist_by_hand(was: RadioStanding, to: RadioStanding) -> None:
    """Raises IllegalStanding unless somebody may set `to` by hand after `was`."""
    if to in BY_HAND[was]:
        return
    right = " or ".join(state.words for state in BY_HAND[was])
    raise IllegalStanding(
        f"state: {to.words} cannot follow {was.words} by hand; "
        + (f"what may follow is {right}." if right else "a replacement changes it, or nothing does.")
    )
