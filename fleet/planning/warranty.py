"""Until which day a maker stands for a radio, and which claims are due (trade row F9).

A period of months ends with the day of the same date as the one on which it began; where the last month has no such
day, with the last day of that month (Regulation (EEC, Euratom) No 1182/71, article 3 (2) (c); recalled). Days of rest
do not lengthen it here: whoever claims by this day is never late. What a maker promised may be more or less than the
law; read the papers of the purchase.
"""

import calendar
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

MONTHS_A_YEAR = 12


class WarrantyError(ValueError):
    """A count of months that cannot be right."""


class ClaimState(StrEnum):
    """What can be done about a radio that failed."""

    DUE = "due"
    LATE = "too late"
    CLAIMED = "claimed"
    NOT_COVERED = "not covered"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Claim:
    """last_day: the last on which to claim, None where not known."""

    state: ClaimState
    last_day: date | None
    because: str


def last_day(bought_on: date, months: int) -> date:
    """The last day of so many months (0 or more) from the day of purchase; that day is within them."""
    if months < 0:
        raise WarrantyError(f"warranty_months: {months}; right is 0 or more.")
    ahead = bought_on.year * MONTHS_A_YEAR + bought_on.month - 1 + months
    year, month = divmod(ahead, MONTHS_A_YEAR)
    return date(year, month + 1, min(bought_on.day, calendar.monthrange(year, month + 1)[1]))


def claim_of(
    failed_on: date, bought_on: date | None, months: int | None, claimed_on: date | None, today: date
) -> Claim:
    """What can be done on this day about a radio that failed on that one."""
    until = None if bought_on is None or months is None else last_day(bought_on, months)
    if claimed_on is not None:
        return Claim(ClaimState.CLAIMED, until, f"It was claimed on {claimed_on:%Y-%m-%d}.")
    if until is None:
        wanting = "day of purchase" if bought_on is None else "warranty"
        return Claim(ClaimState.UNKNOWN, None, f"Its {wanting} was never entered.")
    if failed_on > until:
        return Claim(
            ClaimState.NOT_COVERED, until, f"It failed after its warranty, which ended {until:%Y-%m-%d}."
        )
    if today > until:
        return Claim(ClaimState.LATE, until, f"The last day to claim was {until:%Y-%m-%d}.")
    left = (until - today).days
    days = "today is the last day" if left == 0 else f"{left} day{'' if left == 1 else 's'} left"
    return Claim(ClaimState.DUE, until, f"Claim it by {until:%Y-%m-%d}: {days}.")
