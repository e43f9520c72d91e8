"""How a mesh stands, as far as messages go: its trouble, and how many homes are in which.

Troubles are told worst first. A home counts by the worst of its meshes, as on the board.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from fleet.planning.readiness import GateName, State


class Trouble(StrEnum):
    """What is wrong with a mesh, worst first. Stranded: a swap failed, and neither radio is known to speak."""

    STRANDED = "stranded"
    BARE = "bare"
    UNKNOWN = "unknown"
    THIN = "thin"

    @property
    def severity(self) -> int:
        """0 is the worst."""
        return list(Trouble).index(self)


NO_TROUBLE = len(Trouble)
"""The severity of none."""

OF_STATE = {State.BARE: Trouble.BARE, State.UNKNOWN: Trouble.UNKNOWN, State.THIN: Trouble.THIN}


@dataclass(frozen=True, slots=True)
class Standing:
    """One mesh as the last round left it.

    `place` is what the home is called and `zone` its clock. `gate` is the first that was not passed, None before
    the first round. `family` is the head radio's, empty where not known. `safety` holds for locks, heating, smoke,
    water, gas and calls for help; `kinds` are the ones in it, as stored words such as "lock".
    """

    code: str
    home: str
    place: str
    zone: ZoneInfo
    state: State
    gate: GateName | None = None
    stranded: bool = False
    safety: bool = False
    kinds: tuple[str, ...] = ()
    family: str = ""
    newest_sound_at: datetime | None = None

    @property
    def trouble(self) -> Trouble | None:
        """None where it could be brought back today, by hand or not."""
        return Trouble.STRANDED if self.stranded else OF_STATE.get(self.state)

    @property
    def severity(self) -> int:
        """That of its trouble; NO_TROUBLE without any."""
        return NO_TROUBLE if self.trouble is None else self.trouble.severity


def homes_in(standings: Iterable[Standing]) -> int:
    """How many homes these meshes are in."""
    return len({standing.home for standing in standings})


def count_homes(standings: Iterable[Standing]) -> Counter[Trouble | None]:
    """Homes by the worst trouble of their meshes; under None those without any."""
    worst: dict[str, Standing] = {}
    for standing in standings:
        before = worst.setdefault(standing.home, standing)
        if standing.severity < before.severity:
            worst[standing.home] = standing
    return Counter(standing.trouble for standing in worst.values())
