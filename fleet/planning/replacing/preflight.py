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
from fleet.planning.freshness import told_apart
from fleet.planning.phrases.fit import thing
from fleet.planning.phrases.swap import Swap, SwapAct
from fleet.planning.sentences import Manner, Reasoned, Sentence, Series, Told, Value, sentences

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
    against: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True)
class PreflightFacts:
    """What the book knows of one swap. None means not known; lists are of what is still wanting.

    way_back_judged: somebody has read whether there is one. safety_without_fall_back: names of safety devices for
    which nobody has written how to do without. licence_until: the mains licence of whoever goes, where the work needs
    one; second_named: who else comes, where two are needed. blank_on and blank_by: the last proof, which somebody may
    have overtaken by writing to the spare. licensed: who could work on mains, asked where nobody was named. An
    agreement that is not in force holds no swap and is said where nobody in the house has agreed.
    """

    copy_age_hours: float | None
    start_value: int | None
    verdict: Verdict | None
    verdict_why: Sentence | None
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
    blank_on: date | None = None
    blank_by: str = ""
    licensed: tuple[str, ...] | None = None
    agreement_in_force: bool = True


@dataclass(frozen=True, slots=True)
class Finding(Reasoned):
    """One item: how it stands, why, and what mends it (None where it is met)."""

    item: Item
    met: Met
    why: Told
    helps: Sentence | None = None


Judged = tuple[Met, Told, Sentence | None]
Judge = Callable[[PreflightFacts], Judged]


def preflight(facts: PreflightFacts) -> tuple[Finding, ...]:
    """All twelve, in order."""
    return tuple(Finding(item, *judge(facts)) for item, judge in JUDGES.items())


def is_clear(findings: tuple[Finding, ...]) -> bool:
    """True where nothing holds the swap."""
    return all(finding.met is Met.YES for finding in findings)


def _met(why: Told) -> Judged:
    return Met.YES, why, None


def _not(why: Told, helps: SwapAct) -> Judged:
    return Met.NO, why, helps.of()


def _unknown(why: Told, helps: SwapAct) -> Judged:
    return Met.UNKNOWN, why, helps.of()


def _copy(facts: PreflightFacts) -> Judged:
    return copy_before_work(facts.copy_age_hours)


def copy_before_work(age_hours: float | None) -> Judged:
    """Whether a copy of that age will do before anybody touches a head radio; None: there is no sound one."""
    if age_hours is None:
        return _not(Swap.COPY_NONE.of(), SwapAct.TAKE_COPY)
    age, limit = told_apart(age_hours, COPY_HOURS)
    if age_hours >= COPY_HOURS:
        return _not(Swap.COPY_OLD.of(age=age, limit=limit), SwapAct.TAKE_ON_DAY)
    return _met(Swap.COPY_FRESH.of(age=age))


def _number(facts: PreflightFacts) -> Judged:
    value = facts.start_value
    if value is None:
        return _unknown(Swap.NUMBER_NONE.of(), SwapAct.SEND_STATING)
    if value >= SPACE_END:
        return _not(Swap.NUMBER_END.of(), SwapAct.CHANGE_KEY)
    if value >= HALF_WAY:
        return _not(Swap.NUMBER_HALF.of(), SwapAct.CHANGE_KEY)
    return _met(Swap.NUMBER.of(number=value))


def _verdict(facts: PreflightFacts) -> Judged:
    verdict, why = facts.verdict, facts.verdict_why
    if verdict is None or why is None:
        return _unknown(Swap.VERDICT_NONE.of(), SwapAct.CHOOSE)
    if verdict is Verdict.UNTESTED:
        return _unknown(Swap.VERDICT_UNTESTED.of(why=why), SwapAct.TRY_PAIR)
    if verdict is Verdict.NO:
        return _not(Swap.VERDICT_NO.of(why=why), SwapAct.CHOOSE_OTHER)
    if verdict is Verdict.CLEAN:
        return _met(Swap.VERDICT_CLEAN.of())
    return _met(Swap.VERDICT_BUT.of(verdict=thing(verdict), why=why))


def _blank(facts: PreflightFacts) -> Judged:
    if facts.blank_proven is None:
        return _unknown(Swap.BLANK_UNKNOWN.of(), SwapAct.READ_OUT)
    if not facts.blank_proven:
        used = Swap.BLANK_USED.of(day=facts.blank_on) if facts.blank_on else Swap.BLANK_NOT.of()
        return _not(used, SwapAct.WIPE)
    if facts.blank_on and facts.blank_by:
        return _met(Swap.BLANK_BY.of(day=facts.blank_on, by=facts.blank_by))
    return _met(Swap.BLANK.of())


def _firmware(facts: PreflightFacts) -> Judged:
    if facts.firmware is None or facts.firmware_state is None:
        return _unknown(Swap.FIRMWARE_UNKNOWN.of(), SwapAct.NOTE_BOTH)
    values: dict[str, Value] = {"firmware": facts.firmware, "policy": thing(facts.firmware_state)}
    if facts.firmware_state in (FirmwareState.ALLOWED, FirmwareState.PREFERRED):
        return _met(Swap.FIRMWARE_IS.of(**values))
    return _not(Swap.FIRMWARE_STANDS.of(**values), SwapAct.PUT_ALLOWED)


def _way_back(facts: PreflightFacts) -> Judged:
    if facts.way_back_judged:
        return _met(Swap.WAY_BACK_JUDGED.of())
    return _not(Swap.WAY_BACK_UNJUDGED.of(), SwapAct.READ_WAY_BACK)


def _connection(facts: PreflightFacts) -> Judged:
    parts = {Swap.THE_CONTROLLER: facts.controller, Swap.THE_PATH: facts.connection_path}
    wanting = Series(tuple(name.of() for name, value in parts.items() if not value))
    if wanting.parts:
        return _unknown(Swap.NOT_RECORDED.of(what=wanting), SwapAct.ENTER_AT_MESH)
    if facts.driver is None or facts.driver is Verdict.UNTESTED:
        return _unknown(Swap.DRIVER_UNKNOWN.of(), SwapAct.TRY_BENCH)
    if facts.driver is Verdict.NO:
        return _not(Swap.DRIVER_NONE.of(), SwapAct.CHOOSE_OTHER)
    return _met(Swap.DRIVES.of(controller=facts.controller, path=facts.connection_path))


def _power(facts: PreflightFacts) -> Judged:
    if not facts.power_known:
        return _unknown(Swap.POWER_UNKNOWN.of(), SwapAct.SEND_STATING)
    if facts.region_allows is None:
        return _unknown(Swap.CHANNELS_UNKNOWN.of(), SwapAct.ENTER_CHANNELS)
    if not facts.region_allows:
        return _not(Swap.CHANNEL_NOT.of(), SwapAct.CHOOSE_OTHER)
    return _met(Swap.POWER.of())


def _fall_backs(facts: PreflightFacts) -> Judged:
    if facts.safety_without_fall_back:
        what = Series(facts.safety_without_fall_back)
        return _not(Swap.FALL_BACKS_WANTING.of(what=what), SwapAct.WRITE_DOWN)
    if facts.safety_devices and not facts.fall_backs_told:
        return _not(Swap.FALL_BACKS_UNTOLD.of(), SwapAct.TELL)
    if not facts.safety_devices and not facts.fall_backs_told:
        return _unknown(Swap.NO_GUARDS.of(), SwapAct.ASK_ALL_THE_SAME)
    return _met(Swap.FALL_BACKS_TOLD.of())


def _window(facts: PreflightFacts) -> Judged:
    if facts.window is None:
        return _unknown(Swap.WINDOW_NONE.of(), SwapAct.AGREE)
    if facts.window.against:
        what = Series(facts.window.against, Manner.SEMICOLONS)
        return _not(Swap.WINDOW_AGAINST.of(what=what), SwapAct.AGREE_OTHER)
    return _met(Swap.WINDOW.of())


def _people(facts: PreflightFacts) -> Judged:
    if not facts.technician:
        return _nobody(facts)
    if facts.needs_licence and not _licensed(facts):
        return _not(Swap.NO_LICENCE.of(who=facts.technician), SwapAct.SEND_LICENSED)
    if facts.needs_two and not facts.second_named:
        return _not(Swap.ONE_OF_TWO.of(), SwapAct.NAME_SECOND)
    if facts.second_named:
        return _met(Swap.TWO_GO.of(who=facts.technician, second=facts.second_named))
    return _met(Swap.ONE_GOES.of(who=facts.technician))


def _nobody(facts: PreflightFacts) -> Judged:
    if facts.licensed:
        return _unknown(Swap.LICENSED.of(who=Series(facts.licensed)), SwapAct.NAME)
    if facts.licensed is not None and facts.needs_licence:
        return _not(Swap.NOBODY_LICENSED.of(), SwapAct.NAME)
    return _unknown(Swap.NOBODY_NAMED.of(), SwapAct.NAME)


def _licensed(facts: PreflightFacts) -> bool:
    if facts.licence_until is None or facts.window is None:
        return False
    return facts.licence_until >= facts.window.ends.date()


def _consent(facts: PreflightFacts) -> Judged:
    if not facts.consent_by:
        why: Told = Swap.NO_CONSENT.of()
        told = why if facts.agreement_in_force else sentences(Swap.NO_AGREEMENT.of(), why)
        return _not(told, SwapAct.ASK)
    if not facts.access_known:
        return _unknown(Swap.NO_WAY_IN.of(), SwapAct.ENTER_WAY_IN)
    return _met(Swap.CONSENT.of(who=facts.consent_by))


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
