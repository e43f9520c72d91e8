"""Value readings: how one foreign value is taken for one of our facts, and written in its own notation again.

A reading is a name in a field guide; together with the kind of the fact it gives a Reader. A reader never
gives a traceback, and what it says about a value that it cannot take repeats nothing of the value.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import lru_cache, partial
from typing import Any, TypeAlias

from fleet.snapshots import notations, number_notations, time_notations, word_notations
from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.facts import LinkKeyKind, Power, Role, SecurityMode
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.notations import Notation, ReadingError, turned

__all__ = ["Canonical", "Reader", "Reading", "ReadingError", "Words", "fitting", "reader_for"]

Canonical: TypeAlias = str | int | bytes | bool | datetime
Words: TypeAlias = tuple[tuple[str, str], ...]


class Reading(StrEnum):
    """Names of readings, as field guides write them. "Turned" means the octets in the other order."""

    HEX = "hex"
    HEX_TURNED = "hex_turned"
    NUMBER = "number"
    NUMBER_TURNED = "number_turned"
    OCTETS = "octets"
    OCTETS_TURNED = "octets_turned"
    BASE64 = "base64"
    BASE64_TURNED = "base64_turned"
    CHANNEL_LIST = "channel_list"
    MEGAHERTZ = "megahertz"
    SIGNED_NUMBER = "signed_number"
    ISO_TIME = "iso_time"
    SECONDS = "seconds_since_1970"
    MILLISECONDS = "milliseconds_since_1970"
    MICROSECONDS = "microseconds_since_1970"
    WORDS = "words"
    YES_NO = "yes_no"
    NO_YES = "no_yes"
    TEXT = "text"


TURNED = {
    Reading.HEX: Reading.HEX_TURNED,
    Reading.NUMBER: Reading.NUMBER_TURNED,
    Reading.OCTETS: Reading.OCTETS_TURNED,
    Reading.BASE64: Reading.BASE64_TURNED,
}
"""Each notation of octets with its twin in the other order."""

WIDTHS = {
    Kind.ADDRESS: 8,
    Kind.KEY: 16,
    Kind.SHORT: 2,
    Kind.COUNTER: 4,
    Kind.OCTET: 1,
    Kind.CHANNEL: 1,
    Kind.MASK: 4,
}
"""Kinds that are octets, and how many. Ranges within are for the checks to judge, not for the readings."""

VOCABULARY: Mapping[Kind, type[StrEnum]] = {
    Kind.ROLE: Role,
    Kind.POWER: Power,
    Kind.LINK_KEY_KIND: LinkKeyKind,
    Kind.SECURITY_MODE: SecurityMode,
}
"""Kinds that are one of a few words of ours."""


@dataclass(frozen=True, slots=True)
class Reader:
    """read: a foreign value -> ours, or ReadingError. write: ours -> the notation of the value like."""

    read: Callable[[JsonValue], Canonical]
    write: Callable[[Any, JsonValue], JsonValue]


_OCTETS: Mapping[Reading, Notation] = {
    Reading.HEX: notations.HEX,
    Reading.HEX_TURNED: turned(notations.HEX),
    Reading.NUMBER: notations.NUMBER,
    Reading.NUMBER_TURNED: turned(notations.NUMBER),
    Reading.OCTETS: notations.OCTETS,
    Reading.OCTETS_TURNED: turned(notations.OCTETS),
    Reading.BASE64: notations.BASE64,
    Reading.BASE64_TURNED: turned(notations.BASE64),
}
_OTHERS: Mapping[tuple[Kind, Reading], Reader] = {
    (Kind.CHANNEL, Reading.MEGAHERTZ): Reader(number_notations.from_megahertz, number_notations.to_megahertz),
    (Kind.MASK, Reading.CHANNEL_LIST): Reader(
        number_notations.from_channel_list, number_notations.to_channel_list
    ),
    (Kind.WHOLE, Reading.SIGNED_NUMBER): Reader(number_notations.from_signed, number_notations.to_signed),
    (Kind.TIME, Reading.ISO_TIME): Reader(time_notations.from_iso, time_notations.to_iso),
    (Kind.TRUTH, Reading.YES_NO): Reader(word_notations.from_yes_no, word_notations.to_yes_no),
    (Kind.TRUTH, Reading.NO_YES): Reader(
        lambda value: not word_notations.from_yes_no(value),
        lambda truth, like: word_notations.to_yes_no(not truth, like),
    ),
    (Kind.TEXT, Reading.TEXT): Reader(word_notations.from_text, word_notations.to_text),
} | {
    (Kind.TIME, reading): Reader(
        partial(time_notations.from_count, per_second=per_second),
        partial(time_notations.to_count, per_second=per_second),
    )
    for reading, per_second in (
        (Reading.SECONDS, 1),
        (Reading.MILLISECONDS, 1_000),
        (Reading.MICROSECONDS, 1_000_000),
    )
}


def fitting(kind: Kind) -> tuple[Reading, ...]:
    """The readings that a fact of this kind can have."""
    octets = tuple(_OCTETS) if kind in WIDTHS else ()
    if kind is Kind.KEY:
        octets = tuple(
            reading for reading in octets if reading not in (Reading.NUMBER, Reading.NUMBER_TURNED)
        )
    words = (Reading.WORDS,) if kind in VOCABULARY else ()
    return (*octets, *words, *(reading for other, reading in _OTHERS if other is kind))


@lru_cache(maxsize=512)
def reader_for(kind: Kind, reading: Reading, words: Words = ()) -> Reader:
    """The reader of this kind of fact in this notation.

    words: for the reading WORDS the pairs (foreign word, our word); "*" stands for every other word and our
    word "" for "not stated". Raises ReadingError where reading or words do not fit the kind.
    """
    if reading not in fitting(kind):
        raise ReadingError(f"one of the readings {', '.join(fitting(kind))}")
    if reading is Reading.WORDS:
        return _words_reader(VOCABULARY[kind], words)
    return (
        _octets_reader(kind, _OCTETS[reading])
        if kind in WIDTHS and reading in _OCTETS
        else _OTHERS[kind, reading]
    )


def _octets_reader(kind: Kind, notation: Notation) -> Reader:
    width = WIDTHS[kind]
    if kind is Kind.KEY:
        return Reader(lambda value: notation.octets(value, width), notation.write)
    if kind is Kind.ADDRESS:
        return Reader(
            lambda value: notation.octets(value, width).hex().upper(),
            lambda address, like: notation.write(bytes.fromhex(address), like),
        )
    return Reader(
        lambda value: int.from_bytes(notation.octets(value, width), "big"),
        lambda number, like: notation.write(number.to_bytes(width, "big"), like),
    )


def _words_reader(ours: type[StrEnum], words: Words) -> Reader:
    wrong = sorted({meaning for _, meaning in words if meaning and meaning not in set(ours)})
    if wrong or not words:
        raise ReadingError(f"a table of words whose meanings are {', '.join(ours)}")
    plain = {foreign.strip().casefold(): meaning for foreign, meaning in words}
    bare = {word_notations.bare_word(word): meaning for word, meaning in plain.items()}
    meanings = {word: meaning for word, meaning in bare.items() if word} | plain

    def read(value: JsonValue) -> Canonical:
        meaning = word_notations.from_words(value, meanings)
        return ours(meaning) if meaning else ""

    return Reader(read, lambda word, like: word_notations.to_word(word, like, meanings))
