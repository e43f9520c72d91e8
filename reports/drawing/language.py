"""In which language a sheet speaks: its catalogue of fixed texts, its locale and its direction while it is drawn.

`_` looks a text up, `many` one that counts; `later` and `later_many` mark what is looked up afterwards.
Values go in afterwards, by name: `_("until {day}").format(day=...)`. Each of them is isolated there (Unicode Annex 9)
where it or the language runs from the right, so that a phone number, a code or a name never turns round within its
sentence, nor its neighbours with it.
"""

import gettext
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from babel import Locale, UnknownLocaleError

from reports.drawing.bidi import has_rtl, isolate

CATALOGUES = Path(__file__).parents[1] / "locale"
DOMAIN = "sheets"
ENGLISH = "en"
WORTH_ISOLATING = re.compile(r"[^\W_]")
LANGUAGES = (ENGLISH, "de", "fr", "es", "nl", "el", "ja", "ar")


@dataclass(frozen=True, slots=True)
class Speech:
    """One language: its tag, its texts, how it writes dates and numbers, and whether it reads from the right."""

    tag: str
    texts: gettext.NullTranslations
    locale: Locale
    mirrored: bool


@contextmanager
def speaking(tag: str) -> Iterator[None]:
    """Within, fixed texts come in the language of this tag (BCP 47); in English where no catalogue has it."""
    before = _spoken.set(_speech(tag))
    try:
        yield
    finally:
        _spoken.reset(before)


def _(text: str) -> str:
    """The text in the language that is spoken."""
    return placing(_speaker().texts.gettext(text)) if text else ""


def many(one: str, several: str, number: int) -> str:
    """The form that the spoken language has for this number."""
    return placing(_speaker().texts.ngettext(one, several, number))


def later(text: str) -> str:
    """The text itself, marked for the catalogues."""
    return text


def later_many(one: str, several: str) -> tuple[str, str]:
    """The two forms of a text that counts, marked for the catalogues: what `many` takes."""
    return one, several


def tag() -> str:
    """The language that is spoken."""
    return _speaker().tag


def locale() -> Locale:
    """How the spoken language writes dates, numbers and lists (CLDR)."""
    return _speaker().locale


def mirrored() -> bool:
    """Whether the sheet reads from right to left."""
    return _speaker().mirrored


def isolated(text: str) -> str:
    """The text, kept in a direction of its own where it or the sheet reads from the right."""
    return isolate(text) if text and (mirrored() or has_rtl(text)) else text


def standing(text: str) -> str:
    """A text as it stands in a cell or beside others: what is not a text of ours is isolated, but for the spaces around
    it, which part it from its neighbours; so are no mere brackets and dashes, which go with their neighbours."""
    if isinstance(text, _Isolating) or not WORTH_ISOLATING.search(text):
        return text
    inner = text.strip(" ")
    return text.replace(inner, isolated(inner), 1)


def placing(text: str) -> str:
    """A text whose places are about to be filled."""
    return _Isolating(text)


class _Isolating(str):
    """A text of ours, whose values are isolated as they go in."""

    __slots__ = ()

    def format(self, *args: object, **values: object) -> str:
        apart = {name: _apart(value) for name, value in values.items()}
        return _Isolating(str.format(self, *map(_apart, args), **apart))

    def __mod__(self, values: object) -> str:
        if isinstance(values, Mapping):
            return _Isolating(str.__mod__(self, {name: _apart(value) for name, value in values.items()}))
        return _Isolating(str.__mod__(self, values))


def _apart(value: object) -> object:
    return isolated(value) if isinstance(value, str) else value


@cache
def _speech(wanted: str) -> Speech:
    language = wanted.partition("-")[0].lower()
    if language not in LANGUAGES:
        language = wanted = ENGLISH
    texts = _catalogue(language)
    known = _locale(wanted, language)
    return Speech(wanted, texts, known, known.text_direction == "rtl")


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    """English is what stands in the sources."""
    if language == ENGLISH:
        return gettext.NullTranslations()
    return gettext.translation(DOMAIN, CATALOGUES, [language])


def _locale(wanted: str, language: str) -> Locale:
    """The locale of the tag, or of its language alone; plain English writes 26 March 2027."""
    if wanted.lower() == ENGLISH:
        return Locale("en", "GB")
    try:
        return Locale.parse(wanted, sep="-")
    except (UnknownLocaleError, ValueError):
        return Locale(language)


def _speaker() -> Speech:
    return _spoken.get() or _speech(ENGLISH)


_spoken: ContextVar[Speech | None] = ContextVar("_spoken", default=None)
