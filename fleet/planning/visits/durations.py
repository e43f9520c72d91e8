"""How long a visit takes: the card's own estimate, with the walk to wake battery devices (trade rule C15)."""

from dataclasses import dataclass

from fleet.planning.estimating import NO_MINUTES, EstimateError, ThreePoints

A_NODE, A_BUTTON = 0.5, 2.0


@dataclass(frozen=True, slots=True)
class Walk:
    """What is gone round after the work: nodes in all, and those that want a button pressed, each 0 or more."""

    nodes: int = 0
    buttons: int = 0

    def __post_init__(self) -> None:
        if self.nodes < 0 or self.buttons < 0:
            raise EstimateError(
                f"A walk has {self.nodes} nodes and {self.buttons} buttons; both must be 0 or more."
            )

    @property
    def minutes(self) -> float:
        """Half a minute a node and two more a button."""
        return A_NODE * self.nodes + A_BUTTON * self.buttons


def visit_minutes(base: ThreePoints, walk: Walk, setting_up: ThreePoints = NO_MINUTES) -> ThreePoints:
    """base + 0.5 n + 2 n_button, low, likely and high; setting_up is what else the day asks for."""
    return base + setting_up + ThreePoints.exactly(walk.minutes)
