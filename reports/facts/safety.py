"""Things in the house that can hurt somebody when they stop."""

from dataclasses import dataclass
from datetime import date

from reports.facts.fixed import Text


@dataclass(frozen=True, slots=True)
class SafetyItem:
    """A lock, heating, smoke, water, gas, call-for-help or shutter device.

    `state` is what it does while the radio is silent, `fall_back` what the people in the house do instead.
    """

    kind: Text
    name: str
    room: str | None = None
    state: str | None = None
    fall_back: str | None = None
    tested_by: str | None = None
    tested_on: date | None = None
    result: Text | None = None


@dataclass(frozen=True, slots=True)
class MainsPart:
    """A part wired to the mains, and the licensed person who put it in."""

    what: str
    installed_by: str | None = None
    licence: str | None = None
    installed_on: date | None = None
