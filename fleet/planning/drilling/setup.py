"""Where a bench write may be held, and how: nothing may radiate, and never within reach of the mesh itself (C16, V7).

A written spare is the home's own radio to every device that hears it. The reach is common practice, no source.
"""

from dataclasses import dataclass
from enum import StrEnum

from fleet.planning.reach import Position, great_circle_km

REACH_KM = 0.5
"""How far a radio at full power may be heard outdoors; a shield can leak."""


class Setup(StrEnum):
    """How the spare is kept from radiating, or that it is not."""

    SHIELDED = "shielded"
    DISCONNECTED = "disconnected"
    ON_AIR = "on_air"


@dataclass(frozen=True, slots=True)
class Bench:
    """What somebody states. place: its name; position: None where nobody entered it; in_the_home: it is that home."""

    setup: Setup
    nothing_radiates: bool
    place: str
    position: Position | None
    in_the_home: bool


def why_not_there(bench: Bench, home: Position | None) -> str:
    """Why no spare may be written there, with the field that is wrong; empty where nothing speaks against it."""
    if bench.in_the_home:
        return (
            f"place: {bench.place} is the home itself, within reach of the mesh on air; take the spare out of it "
            "first."
        )
    if bench.position is not None and home is not None:
        far = great_circle_km(bench.position, home)
        if far < REACH_KM:
            return (
                f"place: {bench.place} is {round(far * 1000)} m from the home, within reach of the mesh on air; "
                f"right is {round(REACH_KM * 1000)} m or more."
            )
    if bench.setup is Setup.ON_AIR:
        return "setup: on air is no drill, wherever it is; right is a shielded box, or no antenna and a dummy load."
    if not bench.nothing_radiates:
        return (
            "nothing_radiates: say that nothing radiates and that the home is "
            f"{round(REACH_KM * 1000)} m away or more; without it no spare is written."
        )
    return ""
