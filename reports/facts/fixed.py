"""Texts of ours among the facts: the English one, by which each language's is found, and what fills its places.

What people typed stays a plain text and is printed as they wrote it; a `Fixed` is said in the language of the sheet.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fleet.planning.sentences import Told


@dataclass(frozen=True, slots=True)
class Fixed:
    """One fixed text. `values` are (name, value) for its places; `several` and `number` are there when it counts."""

    text: str
    values: tuple[tuple[str, "Value"], ...] = ()
    several: str = ""
    number: int = 0


Text = str | Fixed | Told
Value = str | int | Decimal | date | Fixed | tuple[Text, ...]


def fixed(text: str, **values: Value) -> Fixed:
    """The text with its values."""
    return Fixed(text, tuple(values.items()))


def fixed_many(one: str, several: str, number: int, **values: Value) -> Fixed:
    """The text in the form for this number, which fills the place {n}."""
    return Fixed(one, (("n", number), *values.items()), several, number)


def english(text: Text | None) -> str:
    """What to sort and compare by, without regard to language."""
    return text or "" if text is None or isinstance(text, str) else text.text
