"""The clock of an agreement that ends: what is due on which day, so that a client leaves with all that is theirs.

Trade rule C22: an offer 60 days before, the hand-back pack 30 days before, access ends with the last day, and
30 days later what is left is erased, unless something holds it. An open bill never holds the pack back (common
practice, no source; local law decides).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from fleet.planning.working_days import working_day_by

OFFER_BEFORE_NOTICE_DAYS: Final = 14


class Step(StrEnum):
    """The twelve steps, in the order in which they fall due. The names are stored."""

    OFFER = "offer"
    NOTICE = "notice"
    ANSWER = "answer"
    ARRANGE = "arrange"
    COPY = "copy"
    PACK = "pack"
    KEYS = "keys"
    FETCH = "fetch"
    ROTATE = "rotate"
    ACCESS = "access"
    ANNOUNCE = "announce"
    ERASE = "erase"


class StepState(StrEnum):
    """Done; coming; due from its day on; late a week after; held where something forbids it; not needed."""

    DONE = "done"
    COMING = "coming"
    DUE = "due"
    LATE = "late"
    HELD = "held"
    NOT_NEEDED = "not_needed"


DAYS_FROM_END: Final = {
    Step.OFFER: -60,
    Step.ANSWER: -45,
    Step.ARRANGE: -40,
    Step.COPY: -33,
    Step.PACK: -30,
    Step.KEYS: -14,
    Step.FETCH: -7,
    Step.ROTATE: 0,
    Step.ACCESS: 0,
    Step.ANNOUNCE: 14,
    Step.ERASE: 30,
}
"""From the last day of the agreement; the notice day depends on the agreement."""

DEEDS: Final = {
    Step.OFFER: "Offer to go on, in writing, with the promises that were kept and missed.",
    Step.NOTICE: "Last working day on which notice can still be given.",
    Step.ANSWER: "Have the answer in writing: it goes on, or it ends.",
    Step.ARRANGE: "Agree the day of the hand-back visit, and who takes the home over.",
    Step.COPY: "Take a fresh snapshot of every mesh and see it live.",
    Step.PACK: "Hand over the pack: newest copies, device list, counter numbers, sheets in force.",
    Step.KEYS: "Plan the change of network key with whoever takes over; list the devices that need a hand.",
    Step.FETCH: "Fetch the firm's own things: spares, keys to the door, tools.",
    Step.ROTATE: "Change the network key, or have the client's new firm do it, and note who did.",
    Step.ACCESS: "End all access: push tokens, door codes, people's rights to the home.",
    Step.ANNOUNCE: "Announce the erasing in writing, with its day.",
    Step.ERASE: "Erase what is left by destroying the client's data key, and send the certificate.",
}
LATE_AFTER: Final = timedelta(days=7)
ON_WORKING_DAYS: Final = frozenset(Step) - {Step.ROTATE, Step.ACCESS, Step.ERASE}


@dataclass(frozen=True, slots=True)
class LeavingFacts:
    """One agreement that ends. country: ISO 3166-1; renewed: another agreement takes over without a gap;
    hold: why nothing may be erased, or empty; done: the day on which each step was done."""

    ends_on: date
    notice_days: int
    country: str
    done: Mapping[Step, date]
    renewed: bool = False
    hold: str = ""
    bill_open: bool = False


@dataclass(frozen=True, slots=True)
class DatedStep:
    """One step with its day, where it stands, and a remark that people need to know."""

    step: Step
    due_on: date
    state: StepState
    deed: str
    remark: str = ""


def steps_of(facts: LeavingFacts, today: date) -> tuple[DatedStep, ...]:
    """All twelve steps, earliest first; today is the day at the home."""
    dated = [
        DatedStep(step, due, _state(step, due, facts, today), DEEDS[step], _remark(step, facts))
        for step in Step
        for due in [due_on(step, facts)]
    ]
    return tuple(sorted(dated, key=lambda each: (each.due_on, list(Step).index(each.step))))


def due_on(step: Step, facts: LeavingFacts) -> date:
    """The day of a step. Days for people fall on working days, the one before where it is free."""
    if step is Step.NOTICE:
        day = facts.ends_on - timedelta(days=facts.notice_days)
    else:
        day = facts.ends_on + timedelta(days=DAYS_FROM_END[step])
    if step is Step.OFFER:
        # An offer that comes when notice can no longer be given is none.
        notice = facts.ends_on - timedelta(days=facts.notice_days)
        day = min(day, notice - timedelta(days=OFFER_BEFORE_NOTICE_DAYS))
    return working_day_by(day, facts.country) if step in ON_WORKING_DAYS else day


def _state(step: Step, due: date, facts: LeavingFacts, today: date) -> StepState:
    if step in facts.done:
        return StepState.DONE
    if facts.renewed and step is not Step.OFFER and step is not Step.ANSWER:
        return StepState.NOT_NEEDED
    if step is Step.ERASE and facts.hold:
        return StepState.HELD
    if step is Step.NOTICE:
        # Nothing to do: the day passes by itself.
        return StepState.COMING if today <= due else StepState.DONE
    if today < due:
        return StepState.COMING
    return StepState.LATE if today > due + LATE_AFTER else StepState.DUE


def _remark(step: Step, facts: LeavingFacts) -> str:
    if step is Step.PACK and facts.bill_open:
        return "A bill is open. It does not hold back the pack."
    if step is Step.ACCESS:
        return "Noting it as done ends the home's push tokens at once and takes named partners off the home."
    if step is Step.ERASE and facts.hold:
        return f"Held: {facts.hold}"
    return ""
