"""In which language a sheet speaks: the catalogue of fixed texts in force while one sheet is drawn.

`_` looks a text up, `many` one that counts, and `later` marks a text for the catalogues that is looked up afterwards.
"""

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

CATALOGUES = Path(__file__).parents[1] / "locale"
DOMAIN = "sheets"
_spoken: ContextVar[gettext.NullTranslations] = ContextVar("_spoken")
_ENGLISH = gettext.NullTranslations()


@contextmanager
def speaking(tag: str) -> Iterator[None]:
    """Within, fixed texts come in the language of this tag (BCP 47); in English where no catalogue has it."""
    before = _spoken.set(_catalogue(tag))
    try:
        yield
    finally:
        _spoken.reset(before)


def _(text: str) -> str:
    """The text in the language that is spoken."""
    return _spoken.get(_ENGLISH).gettext(text)


def many(one: str, several: str, number: int) -> str:
    """The form that the spoken language has for this number."""
    return _spoken.get(_ENGLISH).ngettext(one, several, number)


def later(text: str) -> str:
    """The text itself, marked for the catalogues."""
    return text


@cache
def _catalogue(tag: str) -> gettext.NullTranslations:
    language = tag.partition("-")[0].lower()
    return gettext.translation(DOMAIN, CATALOGUES, [language], fallback=True)
