"""The steps of a drill in their order, what is done at each, and which minutes of a restore they measure."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from fleet.planning.drills import DrillKind


class Step(StrEnum):
    """One step, timed by itself."""

    FETCH = "fetch"
    FIND = "find"
    COPY = "copy"
    WRITE = "write"
    START = "start"
    COMPARE = "compare"
    WALK = "walk"


@dataclass(frozen=True, slots=True)
class Told:
    """A step in a few words, and what is to be done in sentences."""

    name: str
    do: str


ORDER: Mapping[DrillKind, tuple[Step, ...]] = MappingProxyType(
    {
        DrillKind.PAPER: (Step.FETCH, Step.FIND, Step.COPY, Step.WALK),
        DrillKind.BENCH: (Step.FETCH, Step.FIND, Step.COPY, Step.WRITE, Step.START, Step.COMPARE),
        DrillKind.LIVE: (),
    }
)
"""A live swap has the steps of its replacement."""

WORDS: Mapping[Step, Told] = MappingProxyType(
    {
        Step.FETCH: Told(
            "Fetch",
            "Fetch the recovery sheet, the spare and its cable from where they lie, as if the call came now.",
        ),
        Step.FIND: Told(
            "Find what is wrong",
            "Go through the checks of the recovery sheet aloud: feed, cable, controller, channel noise, other mesh.",
        ),
        Step.COPY: Told(
            "Choose the copy",
            "Name the copy that would be used, its age and grade, and which copies must not be used and why.",
        ),
        Step.WRITE: Told(
            "Write the spare",
            "Check the shield or the dummy load first. Write the file below to the spare; the number in it is the "
            "drill's own, never another.",
        ),
        Step.START: Told(
            "Start it and read it out",
            "Start the spare, still shielded or without antenna. Read it out over its cable.",
        ),
        Step.COMPARE: Told(
            "Compare",
            "Compare what was read out with the copy: head address, extended PAN ID, PAN ID, channel, key sequence, "
            "count of devices, and that the number is not below the one given.",
        ),
        Step.WALK: Told(
            "Walk through",
            "Say every step of the recovery sheet aloud, who is called, how each lock, heating and alarm is used by "
            "hand, and how each sleeper is woken.",
        ),
    }
)

MEASURES: Mapping[Step, str] = MappingProxyType(
    {Step.FIND: "diagnose", Step.WRITE: "write", Step.START: "restart"}
)
"""Which minutes of a restore a step on the bench measures. No bench shows how long devices take to answer."""


def following(kind: DrillKind, step: Step | None) -> Step | None:
    """The step after this one, the first after None; None where all are done."""
    order = ORDER[kind]
    if step is None:
        return order[0] if order else None
    place = order.index(step) + 1
    return order[place] if place < len(order) else None
