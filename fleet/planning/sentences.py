"""Sentences of the decisions: a phrase, known by its code, and its figures.

Pages read the English sentence (`text`); papers look the same phrase up in the language of their reader and put the
same figures in. So nothing that is decided is kept as a sentence alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import Enum, StrEnum

FULL_STOPS = ".。"


def later(text: str) -> str:
    """The text itself, marked for the catalogues."""
    return text


def later_many(one: str, several: str) -> tuple[str, str]:
    """The two English forms of a text that counts {n}, marked for the catalogues."""
    return one, several


class Phrase(Enum):
    """What can be said about one subject. A member's value is the English text, or two forms where it counts {n}."""

    @property
    def code(self) -> str:
        """What stands for the phrase wherever it is kept: "fit.channel_unknown"."""
        return f"{type(self).__name__}.{self.name}".lower()

    def of(self, **values: "Value") -> "Sentence":
        """The phrase with its figures."""
        return Sentence(self, tuple(values.items()))

    def form(self, number: int) -> str:
        """The English form for this number."""
        if isinstance(self.value, str):
            return self.value
        one, several = self.value
        return str(one if number == 1 else several)


class Unit(StrEnum):
    """What spans of time are counted in."""

    MINUTE = "minute"
    HOUR = "hour"
    DAY = "day"


@dataclass(frozen=True, slots=True)
class Span:
    """A length of time as it is said: "3.2 days". An amount of 0 minutes is under a minute."""

    amount: Decimal
    unit: Unit

    @property
    def text(self) -> str:
        """In English."""
        if not self.amount:
            return "under a minute"
        return f"{self.amount} {self.unit}{'' if self.amount == 1 else 's'}"


class Manner(StrEnum):
    """How the parts of a series are joined: "a, b and c", "a; b; c", or sentence after sentence."""

    AND = "and"
    SEMICOLONS = "semicolons"
    SENTENCES = "sentences"


@dataclass(frozen=True, slots=True)
class Series:
    """Several things said one after the other."""

    parts: tuple["Part", ...]
    manner: Manner = Manner.AND

    @property
    def text(self) -> str:
        """In English."""
        texts = [english(part) for part in self.parts]
        if self.manner is Manner.SENTENCES:
            return " ".join(texts)
        if self.manner is Manner.SEMICOLONS:
            return "; ".join(texts)
        return " and ".join([", ".join(texts[:-1]), texts[-1]] if len(texts) > 1 else texts)


@dataclass(frozen=True, slots=True)
class Sentence:
    """A phrase and, by the names of its places, its figures. Names and codes are texts and stand as they are."""

    phrase: Phrase
    values: tuple[tuple[str, "Value"], ...] = field(default=())

    @property
    def text(self) -> str:
        """In English. A sentence within it loses its full stop."""
        return self.phrase.form(self.number).format(**{name: inner(value) for name, value in self.values})

    @property
    def number(self) -> int:
        """What it counts, in its place {n}; 0 where it counts nothing."""
        found = dict(self.values).get("n", 0)
        return found if isinstance(found, int) else 0


Part = str | Span | Sentence | Series
Value = Part | int | Decimal | date
Told = Sentence | Series


def english(value: Value) -> str:
    """A figure, or what is said, in English; dates as 2027-03-26, numbers with their thousands marked."""
    if isinstance(value, str):
        return value
    if isinstance(value, Sentence | Series | Span):
        return value.text
    if isinstance(value, date):
        return value.isoformat()
    return f"{value:,}"


def inner(value: Value) -> str:
    """The same within a sentence, whose own stop ends it."""
    text = english(value)
    return text.rstrip(FULL_STOPS) if isinstance(value, Sentence | Series) else text


def sentences(*parts: Part) -> Series:
    """Whole sentences, one after the other."""
    return Series(parts, Manner.SENTENCES)


def as_plain(value: Value) -> object:
    """For a JSON column: texts and whole numbers as they are, all else as an object that names what it is."""
    if isinstance(value, str | int):
        return value
    if isinstance(value, Span):
        return {"span": str(value.amount), "unit": value.unit.value}
    if isinstance(value, Series):
        return {"series": [as_plain(part) for part in value.parts], "manner": value.manner.value}
    if isinstance(value, Sentence):
        return {"say": value.phrase.code, "with": {name: as_plain(each) for name, each in value.values}}
    return {"day": value.isoformat()} if isinstance(value, date) else {"number": str(value)}


def from_plain(plain: object, phrases: Mapping[str, Phrase]) -> Value:
    """What as_plain was given. Raises KeyError where a phrase is not among these, ValueError for anything else."""
    if isinstance(plain, str | int):
        return plain
    if not isinstance(plain, Mapping):
        raise ValueError(f"{type(plain).__name__} is nothing that is said.")
    if "say" in plain:
        values = ((name, from_plain(each, phrases)) for name, each in plain["with"].items())
        return Sentence(phrases[plain["say"]], tuple(values))
    if "series" in plain:
        parts = (from_plain(each, phrases) for each in plain["series"])
        return Series(tuple(part for part in parts if isinstance(part, Part)), Manner(plain["manner"]))
    if "span" in plain:
        return Span(Decimal(plain["span"]), Unit(plain["unit"]))
    return date.fromisoformat(plain["day"]) if "day" in plain else Decimal(plain["number"])


class Reasoned:
    """What pages and commands say, in English, of something that has a reason (`why`) and what would mend it."""

    __slots__ = ()
    why: Told
    helps: Told | None

    @property
    def reason(self) -> str:
        """Why, in English."""
        return self.why.text

    @property
    def act(self) -> str:
        """What helps, in English; empty where nothing is wrong."""
        return self.helps.text if self.helps else ""
