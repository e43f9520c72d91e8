"""Of two meshes of one firm on one channel, which should move: the one whose move strands fewer sleepers (rule C10).

A device that sleeps misses the word to change channel, and has to be woken or to find its mesh again by itself.
Common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Occupant:
    """A mesh of the home, its channel (11 to 26, None where not known) and how many of its devices sleep."""

    code: str
    channel: int | None
    sleepers: int

    @property
    def cost_of_moving(self) -> tuple[int, str]:
        """Sleepers that a move may strand; between equals the later code moves."""
        return self.sleepers, "".join(chr(0x10FFFF - ord(letter)) for letter in self.code)


def on_same_channel(mesh: Occupant, others: Iterable[Occupant]) -> tuple[Occupant, ...]:
    """The other meshes of the home that speak on this one's channel."""
    return tuple(each for each in others if mesh.channel is not None and each.channel == mesh.channel)


def mover(mesh: Occupant, others: Iterable[Occupant]) -> Occupant | None:
    """Which of the meshes on this one's channel should move first; None where it has the channel to itself."""
    together = on_same_channel(mesh, others)
    return min((mesh, *together), key=lambda each: each.cost_of_moving) if together else None


def channels_to_avoid(mesh: Occupant, others: Iterable[Occupant]) -> tuple[int, ...]:
    """The channels of the others as this mesh has to count with them: not of those that should move out of its way."""
    others = tuple(others)
    stays = mover(mesh, others) is not mesh
    together = on_same_channel(mesh, others) if stays else ()
    return tuple(each.channel for each in others if each.channel is not None and each not in together)
