"""The twelve things to settle before a swap, each with what the book knows of it (trade rules, end of section 6)."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType

from reports.facts.errors import FactsError
from reports.facts.fixed import Fixed, Text, fixed


class Item(StrEnum):
    """The twelve, in their order."""

    SNAPSHOT = "snapshot"
    START_VALUE = "start_value"
    VERDICT = "verdict"
    BLANK = "blank"
    FIRMWARE = "firmware"
    WAY_BACK = "way_back"
    CONNECTION = "connection"
    POWER = "power"
    FALL_BACKS = "fall_backs"
    CLIMATE = "climate"
    PEOPLE = "people"
    ACCESS = "access"


class Standing(StrEnum):
    """Met; not met; or nothing that the book can know, so that somebody must look."""

    MET = "met"
    NOT_MET = "not_met"
    NOT_KNOWN = "not_known"


class Why(StrEnum):
    """What the book says of an item. The sentences, and what their places take, stand with the drawing."""

    SNAPSHOT_FRESH = "snapshot_fresh"
    SNAPSHOT_OLD = "snapshot_old"
    SNAPSHOT_NONE = "snapshot_none"
    NUMBER_READY = "number_ready"
    NUMBER_SPENT = "number_spent"
    NUMBER_NONE = "number_none"
    VERDICT_IS = "verdict_is"
    VERDICT_NONE = "verdict_none"
    BLANK_PROVEN = "blank_proven"
    BLANK_NEVER = "blank_never"
    BLANK_USED_SINCE = "blank_used_since"
    FIRMWARE_IS = "firmware_is"
    FIRMWARE_NONE = "firmware_none"
    BACK_JUDGED = "back_judged"
    BACK_UNREAD = "back_unread"
    BACK_UNKNOWN = "back_unknown"
    PATH_KNOWN = "path_known"
    PATH_NONE = "path_none"
    DRIVER_NONE = "driver_none"
    DRIVER_UNKNOWN = "driver_unknown"
    POWER_KNOWN = "power_known"
    POWER_NONE = "power_none"
    FALL_BACKS_ALL = "fall_backs_all"
    FALL_BACKS_SOME = "fall_backs_some"
    FALL_BACKS_NONE = "fall_backs_none"
    FALL_BACKS_TOLD = "fall_backs_told"
    WINDOW_AGREED = "window_agreed"
    WINDOW_AGAINST = "window_against"
    FROST_LIMIT = "frost_limit"
    NO_FROST_LIMIT = "no_frost_limit"
    PEOPLE_NAMED = "people_named"
    PEOPLE_WANTING = "people_wanting"
    LICENCES = "licences"
    NO_LICENCE = "no_licence"
    CONSENT_GIVEN = "consent_given"
    ACCESS_KNOWN = "access_known"
    ACCESS_NONE = "access_none"
    NO_AGREEMENT = "no_agreement"


POLICIES: Mapping[str, Fixed] = MappingProxyType(
    {
        "seen": fixed("seen"),
        "trial": fixed("on trial"),
        "allowed": fixed("allowed"),
        "preferred": fixed("preferred"),
        "hold": fixed("on hold"),
        "barred": fixed("barred"),
    }
)
"""What the firm thinks of a build, in words."""

Value = Text | int | date | datetime


@dataclass(frozen=True, slots=True)
class Checked:
    """One item with its standing, what the book says, and the values in that sentence."""

    item: Item
    standing: Standing
    why: Why
    values: tuple[Value, ...] = ()


def in_order(checked: tuple[Checked, ...]) -> tuple[Checked, ...]:
    """The same, where all twelve stand there once and in their order."""
    if [each.item for each in checked] != list(Item):
        raise FactsError(
            f"preflight: {', '.join(each.item for each in checked) or 'nothing'}; right are the twelve items in "
            "their order"
        )
    return checked
