"""A worker that is killed between two meshes, without a process of its own."""

from collections.abc import Callable


class Killed(BaseException):
    """It ends without a word."""


def killed_after(steps: int) -> Callable[[], None]:
    """What a round is to call after each mesh: it raises Killed after so many, and never for 0."""
    left = [steps]

    def step() -> None:
        left[0] -= 1
        if not left[0]:
            raise Killed

    return step
