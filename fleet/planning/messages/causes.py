"""One cause, one message: meshes that share a cause are told together, a line each (trade row C-9).

The cause key: the trouble, the first failing gate, the radio family where a spare is what is missing, and the
stretch of time in which the newest sound copies were taken where copies stopped coming. Machines that send one
copy a day took their last one within the day before whatever stopped them, so a stretch is 24 hours long.
Common practice, no source.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import groupby

from fleet.planning.messages.standing import Standing, Trouble
from fleet.planning.readiness import GateName

STRETCH = timedelta(hours=24)
ABOUT_COPIES = frozenset({GateName.SNAPSHOT, GateName.FRESH})
TROUBLES, GATES = tuple(Trouble), tuple(GateName)
LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Cause:
    """What several meshes have in common. `since`: nothing sound that was taken later has landed."""

    trouble: Trouble
    gate: GateName | None
    family: str
    since: datetime | None


@dataclass(frozen=True, slots=True)
class Group:
    """The meshes of one cause, in the order of their codes."""

    cause: Cause
    members: tuple[Standing, ...]


def by_cause(standings: Iterable[Standing]) -> tuple[Group, ...]:
    """Everything that is in trouble, by cause, worst first; the order in which it comes does not matter."""
    troubled = sorted((each for each in standings if each.trouble), key=_order)
    groups = (_stretches(list(members)) for _, members in groupby(troubled, key=_shared))
    return tuple(group for found in groups for group in found)


def _shared(standing: Standing) -> tuple[int, int, str]:
    # Of a stranded mesh the gates say nothing: what they look at is not on air.
    gate = None if standing.stranded else standing.gate
    family = standing.family if gate is GateName.SPARE else ""
    return standing.severity, -1 if gate is None else GATES.index(gate), family


def _order(standing: Standing) -> tuple[tuple[int, int, str], datetime, str]:
    return _shared(standing), standing.newest_sound_at or LONG_AGO, standing.code


def _stretches(members: list[Standing]) -> Iterator[Group]:
    """Members of one trouble, gate and family, oldest copy first, cut where a stretch ends."""
    severity, place, family = _shared(members[0])
    name = GATES[place] if place >= 0 else None
    while members:
        ends = (members[0].newest_sound_at or LONG_AGO) + STRETCH
        about_copies = name in ABOUT_COPIES
        within = [each for each in members if not about_copies or (each.newest_sound_at or LONG_AGO) <= ends]
        since = within[-1].newest_sound_at if about_copies else None
        cause = Cause(TROUBLES[severity], name, family, since)
        yield Group(cause, tuple(sorted(within, key=lambda each: each.code)))
        members = members[len(within) :]
