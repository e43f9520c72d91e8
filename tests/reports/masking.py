"""A language in which no text of ours has a Latin letter: whatever has one on paper was never looked up."""

import gettext
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

import pytest
from babel import Locale

from fleet.planning.sentences import Sentence, Span
from reports.drawing import language
from reports.drawing.language import Speech
from reports.facts.fixed import Fixed

LATIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
OTHER = str.maketrans(LATIN, "αβψδεφγηιξκλμνοπθρστυωςχψζΑΒΨΔΕΦΓΗΙΞΚΛΜΝΟΠΘΡΣΤΥΩΣΧΨΖ")
OF_THE_TRADE = {"utc", "dbm"}
DIGITS = re.compile("[a-f]{2,}|[A-F]{2,}")


class Masked(gettext.NullTranslations):
    """Every text of ours with other letters, its places for values kept."""

    def gettext(self, message: str) -> str:
        parts = re.split(r"(\{\w*\})", message)
        return "".join(part if part.startswith("{") else part.translate(OTHER) for part in parts)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def speak_masked(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on every sheet speaks that language."""
    masked = Speech("el", Masked(), Locale("el"), mirrored=False)
    monkeypatch.setattr(language, "_speech", lambda _tag: masked)


def typed(value: object) -> Iterator[str]:
    """What people typed, somewhere in the facts. Codes of ours are not among it."""
    if isinstance(value, Enum | Span):
        return
    if isinstance(value, str):
        yield value
    elif isinstance(value, Fixed | Sentence):
        yield from typed([each for _name, each in value.values])
    elif isinstance(value, Mapping):
        yield from typed([*value, *value.values()])
    elif is_dataclass(value):
        yield from typed([getattr(value, field.name) for field in fields(value)])
    elif isinstance(value, list | tuple | set | frozenset):
        for each in value:
            yield from typed(each)


def words_of(texts: Iterator[str]) -> set[str]:
    """All Latin words in these texts, in small letters."""
    return {word.lower() for word in re.findall("[A-Za-z]+", " ".join(texts))}


def never_looked_up(printed: str, known: set[str]) -> set[str]:
    """Words on paper that are neither data nor in the masked language."""
    found = {word for word in re.findall("[A-Za-z]{2,}", printed) if not DIGITS.fullmatch(word)}
    return {word for word in found if word.lower() not in known | OF_THE_TRADE}
