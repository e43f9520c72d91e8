"""Which of two builds of one radio model is newer, and when that cannot be said (trade rule C17, row F4).

A model's builds are numbered in one form, which a person has named; a text that does not fit it is not guessed at. A
key that a person gave goes before everything that the text says. Build dates, vendor suffixes and other band plans do
not compare. Pre-releases come before their release, as in Semantic Versioning 2.0.0, clause 11 (recalled).
"""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

LONGEST_FIGURE = 5
PRE_RELEASES = ("alpha", "beta", "rc")
FIGURES = r"(?P<figures>\d+(?:\.\d+)*)"
TAIL = (
    r"(?:[-+_. ]?(?P<stage>alpha|beta|rc)[-. ]?(?P<round>\d*))?(?:[-+_ ](?P<suffix>[a-z0-9][a-z0-9.+_-]*))?"
)
PATTERNS = {
    "numbers": re.compile(rf"v?{FIGURES}{TAIL}", re.ASCII),
    "letters": re.compile(
        rf"v?{FIGURES}(?P<letters>[a-z]{{0,2}})(?:[-+_ ](?P<suffix>[a-z0-9][a-z0-9.+_-]*))?", re.ASCII
    ),
    "date": re.compile(
        r"(?P<year>\d{4})([-.]?)(?P<month>\d\d)\2(?P<day>\d\d)(?:[-+_ ](?P<suffix>[a-z0-9][a-z0-9.+_-]*))?",
        re.ASCII,
    ),
}


class VersionForm(StrEnum):
    """How a model's builds are numbered: 6.10.3-rc1; 1.2, 1.2a, 1.2b; 20270326 or 2027-03-26."""

    NUMBERS = "numbers"
    LETTERS = "letters"
    DATE = "date"


class Order(StrEnum):
    """How one build stands to another."""

    OLDER = "older"
    SAME = "same"
    NEWER = "newer"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True, slots=True)
class Build:
    """A build of a model: the version as its maker writes it, the band plan, a place in the order if one was given."""

    version: str
    band_plan: str = ""
    order_key: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """How the first stands to the second, and why."""

    order: Order
    because: str


Rank = tuple[tuple[int, ...], int, int | str]
Key = tuple[Rank, str]
"""The figures, the stage or the count of letters, its round or the letters; and the suffix, which has no rank."""


def compare(one: Build, other: Build, form: VersionForm | None) -> Comparison:
    """How one build of a model stands to another; form is None where nobody has said how the model is numbered."""
    if one.band_plan != other.band_plan:
        return _unknown(
            f"They are for other band plans: {one.band_plan or 'none'} and {other.band_plan or 'none'}."
        )
    if one.order_key is not None and other.order_key is not None:
        return Comparison(_order(one.order_key, other.order_key), "By the places that were given to both.")
    if one.order_key is not None or other.order_key is not None:
        placed, free = (one, other) if one.order_key is not None else (other, one)
        return _unknown(f"{placed.version} was given a place and {free.version} was not; give it one too.")
    if one.version.strip() == other.version.strip():
        return Comparison(Order.SAME, "Both are written alike.")
    if form is None:
        return _unknown("Nobody has said how builds of this model are numbered.")
    first, second = _key(one.version, form), _key(other.version, form)
    if first is None or second is None:
        unread = one.version if first is None else other.version
        return _unknown(
            f"{unread or 'An empty version'} is not numbered by {form}; give both a place in the order."
        )
    return _compared(first, second, form)


def _compared(one: Key, other: Key, form: VersionForm) -> Comparison:
    if one[1] != other[1]:
        return _unknown(f"The suffixes {one[1] or 'none'} and {other[1] or 'none'} do not compare.")
    return Comparison(_order(one[0], other[0]), f"By {form}.")


def _key(version: str, form: VersionForm) -> Key | None:
    found = PATTERNS[form].fullmatch(version.strip().lower())
    if found is None:
        return None
    parts = found.groupdict(default="")
    if form is VersionForm.DATE:
        return _dated(parts)
    figures = parts["figures"].split(".")
    # 6.09 may be less or more than 6.1, and eight figures are a day: neither is guessed at.
    if any(len(figure) > 1 and figure[0] == "0" for figure in figures) or len(figures[0]) > LONGEST_FIGURE:
        return None
    numbers = _without_noughts([int(figure) for figure in figures])
    if form is VersionForm.LETTERS:
        if parts["letters"] in PRE_RELEASES:  # 1.2rc may come before 1.2 or after it
            return None
        return (numbers, len(parts["letters"]), parts["letters"]), parts["suffix"]
    stage = PRE_RELEASES.index(parts["stage"]) if parts["stage"] else len(PRE_RELEASES)
    return (numbers, stage, int(parts["round"] or 0)), parts["suffix"]


def _dated(parts: dict[str, str]) -> Key | None:
    try:
        day = date(int(parts["year"]), int(parts["month"]), int(parts["day"]))
    except ValueError:
        return None
    return ((day.toordinal(),), 0, 0), parts["suffix"]


def _without_noughts(numbers: list[int]) -> tuple[int, ...]:
    """6.10 and 6.10.0 are one version."""
    while len(numbers) > 1 and numbers[-1] == 0:
        numbers = numbers[:-1]
    return tuple(numbers)


def _order(one: tuple[object, ...], other: tuple[object, ...]) -> Order:
    if one == other:
        return Order.SAME
    return Order.OLDER if one < other else Order.NEWER


def _unknown(because: str) -> Comparison:
    return Comparison(Order.NOT_COMPARABLE, because)
