"""What was promised, until when, and what the client looks after."""

from dataclasses import dataclass
from datetime import date

from reports.facts.fixed import Text


@dataclass(frozen=True, slots=True)
class Agreement:
    """The care agreement in short. Dates are in the home's calendar."""

    reference: str | None = None
    starts_on: date | None = None
    ends_on: date | None = None
    notice_by: date | None = None
    hours_covered: str | None = None
    response_hours: int | None = None
    drill_every_days: int | None = None
    owns_radio: str | None = None


@dataclass(frozen=True, slots=True)
class Warranty:
    """One part's warranty."""

    part: Text
    ends_on: date | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """Somebody who may enter the home for this work, and on what terms. Never a door code."""

    who: str
    terms: str | None = None


@dataclass(frozen=True, slots=True)
class Batteries:
    """Batteries of one type: how many, and the first day of the month in which they are due."""

    kind: str
    count: int
    due_month: date | None = None


@dataclass(frozen=True, slots=True)
class NotTested:
    """Something that could not be tested at hand-over, and why."""

    what: str
    because: str


@dataclass(frozen=True, slots=True)
class Signing:
    """Who signs for the hand-over, and with what left open."""

    technician: str | None = None
    client_or_deputy: str | None = None
    open_defects: tuple[str, ...] | None = None
    not_tested: tuple[NotTested, ...] | None = None


UNSIGNED = Signing()
