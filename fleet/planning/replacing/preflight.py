"""The twelve things that must be so before a spare is packed for a swap. Common practice, no source.

Each is met, not met or not known, with a reason and what would mend it. One that is not met or not known holds the
swap: nobody drives out on a guess.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from fleet.mesh.counters import HALF_WAY, SPACE_END
from fleet.planning.capabilities import FirmwareState
from fleet.planning.compatibility import Verdict
from fleet.planning.freshness import spans_told_apart

COPY_HOURS = 24
"""The age of the copy, at most, when somebody sets out."""


class Item(StrEnum):
    """The twelve, in the order in which they are gone through."""

    COPY = "copy"
    NUMBER = "number"
    VERDICT = "verdict"
    BLANK = "blank"
    FIRMWARE = "firmware"
    WAY_BACK = "way_back"
    CONNECTION = "connection"
    POWER = "power"
    FALL_BACKS = "fall_backs"
    WINDOW = "window"
    PEOPLE = "people"
    CONSENT = "consent"


class Met(StrEnum):
    """How one item stands."""

    YES = "met"
    NO = "not met"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Window:
    """When the swap is to be: aware, in the home's zone. is_free: outside frost, night and days of rest."""

    begins: datetime
    ends: datetime
    against: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PreflightFacts:
    """What the book knows of one swap. None means not known; lists are of what is still wanting.

    way_back_judged: somebody has read whether there is one. safety_without_fall_back: names of safety devices for
    which nobody has written how to do without. licence_until: the mains licence of whoever goes, where the work needs
    one; second_named: who else comes, where two are needed.
    """

    copy_age_hours: float | None
    start_value: int | None
    verdict: Verdict | None
    verdict_because: str
    blank_proven: bool | None
    firmware: str | None
    firmware_state: FirmwareState | None
    way_back_judged: bool
    connection_path: str
    controller: str
    driver: Verdict | None
    power_known: bool
    region_allows: bool | None
    safety_devices: int
    safety_without_fall_back: tuple[str, ...]
    fall_backs_told: bool
    window: Window | None
    needs_licence: bool
    licence_until: date | None
    technician: str
    needs_two: bool
    second_named: str
    consent_by: str
    access_known: bool


@dataclass(frozen=True, slots=True)
class Finding:
    """One item: how it stands, why, and what mends it (empty where it is met)."""

    item: Item
    met: Met
    reason: str
    act: str = ""


Judge = Callable[[PreflightFacts], tuple[Met, str, str]]


def preflight(facts: PreflightFacts) -> tuple[Finding, ...]:
    """All twelve, in order."""
    return tuple(Finding(item, *judge(facts)) for item, judge in JUDGES.items())


def is_clear(findings: tuple[Finding, ...]) -> bool:
    """True where nothing holds the swap."""
    return all(finding.met is Met.YES for finding in findings)


def _copy(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.copy_age_hours is None:
        return (
            Met.NO,
            "There is no sound copy to bring the mesh back from.",
            "Take a snapshot and send it in.",
        )
    age, limit = spans_told_apart(facts.copy_age_hours, COPY_HOURS)
    if facts.copy_age_hours >= COPY_HOURS:
        return Met.NO, f"The newest sound copy is {age} old; the limit is {limit}.", "Take one on the day."
    return Met.YES, f"The newest sound copy is {age} old.", ""


def _number(facts: PreflightFacts) -> tuple[Met, str, str]:
    value = facts.start_value
    if value is None:
        return Met.UNKNOWN, "No counter value is on record for this key.", "Send in a copy that states it."
    if value >= SPACE_END:
        return Met.NO, "The counter is at its end.", "Change the network key first."
    if value >= HALF_WAY:
        return Met.NO, "The number is past half of all counters.", "Change the network key first."
    return (
        Met.YES,
        f"As of now the number would be {value:,}; the ledger gives it when the radio is written.",
        "",
    )


def _verdict(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.verdict is None:
        return Met.UNKNOWN, "Nobody has judged this radio for this mesh.", "Choose the radio."
    if facts.verdict is Verdict.UNTESTED:
        return Met.UNKNOWN, f"Untested: {facts.verdict_because}", "Try the pair on the bench first."
    if facts.verdict is Verdict.NO:
        return Met.NO, f"It does not fit: {facts.verdict_because}", "Choose another radio."
    if facts.verdict is Verdict.CLEAN:
        return Met.YES, "It takes over as it is.", ""
    return Met.YES, f"It takes over, but {facts.verdict}: {facts.verdict_because}", ""


def _blank(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.blank_proven is None:
        return Met.UNKNOWN, "Whether the spare is blank is not known.", "Read it out and note the day."
    if not facts.blank_proven:
        return Met.NO, "The spare was not proven blank.", "Wipe it, read it out, note name and day."
    return Met.YES, "The spare was proven blank.", ""


def _firmware(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.firmware is None or facts.firmware_state is None:
        return Met.UNKNOWN, "The spare's firmware, or what the firm thinks of it, is not known.", "Note both."
    if facts.firmware_state in (FirmwareState.ALLOWED, FirmwareState.PREFERRED):
        return Met.YES, f"Firmware {facts.firmware} is {facts.firmware_state}.", ""
    act = "Put an allowed version on, and prove the spare blank again."
    return Met.NO, f"Firmware {facts.firmware} stands at {facts.firmware_state}.", act


def _way_back(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.way_back_judged:
        return Met.YES, "Whether there is a way back was judged.", ""
    return Met.NO, "Nobody has judged yet whether there is a way back.", "Read it on this page and say so."


def _connection(facts: PreflightFacts) -> tuple[Met, str, str]:
    wanting = [name for name, value in _connection_parts(facts) if not value]
    if wanting:
        return Met.UNKNOWN, f"Not recorded: {' and '.join(wanting)}.", "Enter it on the page of the mesh."
    if facts.driver is None or facts.driver is Verdict.UNTESTED:
        return (
            Met.UNKNOWN,
            "Whether the controller drives the new radio is not known.",
            "Try it on the bench.",
        )
    if facts.driver is Verdict.NO:
        return Met.NO, "The controller has no driver for the new radio.", "Choose another radio."
    return Met.YES, f"{facts.controller} drives it at {facts.connection_path}.", ""


def _connection_parts(facts: PreflightFacts) -> tuple[tuple[str, str], ...]:
    return ("the controller", facts.controller), ("the connection's stable path", facts.connection_path)


def _power(facts: PreflightFacts) -> tuple[Met, str, str]:
    if not facts.power_known:
        return Met.UNKNOWN, "The transmit power in use is not known.", "Send in a copy that states it."
    if facts.region_allows is None:
        return Met.UNKNOWN, "Which channels the spare may use here is not known.", "Enter its channels."
    if not facts.region_allows:
        return Met.NO, "The spare may not use the mesh's channel here.", "Choose another radio."
    return Met.YES, "Power and channel can be carried over.", ""


def _fall_backs(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.safety_without_fall_back:
        names = ", ".join(facts.safety_without_fall_back)
        return Met.NO, f"No way to do without is written down for: {names}.", "Agree one and write it down."
    if facts.safety_devices and not facts.fall_backs_told:
        return (
            Met.NO,
            "The people in the house have not been told.",
            "Agree the fall-backs with them, and say so.",
        )
    if not facts.safety_devices and not facts.fall_backs_told:
        return (
            Met.UNKNOWN,
            "No device that guards people or the house is on record.",
            "Ask all the same, and say so.",
        )
    return Met.YES, "The people in the house know how to do without.", ""


def _window(facts: PreflightFacts) -> tuple[Met, str, str]:
    if facts.window is None:
        return Met.UNKNOWN, "No time was agreed.", "Agree one."
    if facts.window.against:
        return Met.NO, f"Against this time: {'; '.join(facts.window.against)}.", "Agree another time."
    return Met.YES, "The time agreed is free of frost, night and days of rest.", ""


def _people(facts: PreflightFacts) -> tuple[Met, str, str]:
    if not facts.technician:
        return Met.UNKNOWN, "Nobody was named to go.", "Name somebody."
    if facts.needs_licence and not _licensed(facts):
        return Met.NO, f"{facts.technician} holds no mains licence that day.", "Send somebody who does."
    if facts.needs_two and not facts.second_named:
        return Met.NO, "Two are needed, and one is named.", "Name the second."
    who = (
        f"{facts.technician} and {facts.second_named} go"
        if facts.second_named
        else f"{facts.technician} goes"
    )
    return Met.YES, f"{who}.", ""


def _licensed(facts: PreflightFacts) -> bool:
    if facts.licence_until is None or facts.window is None:
        return False
    return facts.licence_until >= facts.window.ends.date()


def _consent(facts: PreflightFacts) -> tuple[Met, str, str]:
    if not facts.consent_by:
        return Met.NO, "Nobody in the house has agreed yet.", "Ask, and write down who agreed."
    if not facts.access_known:
        return Met.UNKNOWN, "How to get in is not recorded.", "Enter the way in on the page of the home."
    return Met.YES, f"{facts.consent_by} agreed, and the way in is known.", ""


JUDGES: dict[Item, Judge] = {
    Item.COPY: _copy,
    Item.NUMBER: _number,
    Item.VERDICT: _verdict,
    Item.BLANK: _blank,
    Item.FIRMWARE: _firmware,
    Item.WAY_BACK: _way_back,
    Item.CONNECTION: _connection,
    Item.POWER: _power,
    Item.FALL_BACKS: _fall_backs,
    Item.WINDOW: _window,
    Item.PEOPLE: _people,
    Item.CONSENT: _consent,
}
