"""Times, and the small facts that only a name tells from other small numbers."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import NamedTuple

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.moments import SLACK, is_date_only, moment
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.scene import FoundPlace, Scene
from fleet.snapshots.evidence.sights import SHORT
from fleet.snapshots.facts import SecurityMode
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.notations import whole_number
from fleet.snapshots.readings import Reading
from fleet.snapshots.word_notations import bare_word

_OCTET = 255
_NAMED = 0.55
_LONGEST_VERSION = 60
_MODE_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("central", "centralized", "centralised"), SecurityMode.CENTRAL),
    "distributed": SecurityMode.DISTRIBUTED,
}


class _Range(NamedTuple):
    least: int
    most: int
    reading: Reading


_NAMED_NUMBERS = {
    Fact.CHANNEL_PAGE: _Range(0, 31, Reading.NUMBER),
    Fact.SECURITY_LEVEL: _Range(0, 7, Reading.NUMBER),
    Fact.STACK_PROFILE: _Range(0, 15, Reading.NUMBER),
    Fact.STACK_REVISION: _Range(1, 60, Reading.NUMBER),
    Fact.POWER_DBM: _Range(-30, 30, Reading.SIGNED_NUMBER),
}
"""Ranges: Zigbee specification and IEEE 802.15.4 (recalled); revisions and power with room to spare."""


def time_hints(scene: Scene, latest_heard: datetime | None) -> Iterator[Hint[FoundPlace]]:
    """The time of the snapshot: not before any node was heard, the latest of several, and not deep inside."""
    found = [(place, *seen) for place in scene.free if (seen := moment(place.value)) is not None]
    latest = max((when for _, _, when in found), default=None)
    for place, reading, when in found:
        score, reason = 0.5 + 0.1 / max(1, len(place.path)), f"a time, {when:%Y-%m-%d %H:%M} UTC"
        if latest_heard is not None:
            in_order = when >= latest_heard - SLACK
            score += 0.15 if in_order else -0.25
            reason += ", not before any node was heard" if in_order else ", before nodes were heard"
        if len(found) > 1 and when == latest:
            score, reason = score + 0.12, f"{reason}, the latest of {len(found)} times"
        if is_date_only(place.value):
            score -= 0.2
        yield Hint(FoundPlace(place, reading), score, reason, place.names)


def update_id_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """An octet near PAN ID and channel."""
    for place in scene.free:
        numbers = place.column.numbers(SHORT)
        if numbers is not None and numbers.by_row[0] <= _OCTET and not isinstance(place.value, list | dict):
            score = 0.3 + 0.3 * scene.near(place, Fact.PAN_ID, Fact.EXTENDED_PAN_ID, Fact.CHANNEL)
            yield Hint(
                FoundPlace(place, numbers.reading),
                score,
                "a number from 0 to 255 near the PAN ID",
                place.names,
            )


def head_short_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """The short address 0 in the head's object."""
    for place in scene.free:
        numbers = place.column.numbers(SHORT)
        if numbers is None or numbers.by_row[0] != 0 or scene.near(place, Fact.HEAD_ADDRESS) < 1:
            continue
        is_text = isinstance(place.value, str) and len(place.value.strip()) >= 4
        if is_text or name_score(Fact.HEAD_SHORT_ADDRESS, place.names) > 0:
            reason = "0 in 16 bits beside the head's address"
            yield Hint(FoundPlace(place, numbers.reading), 0.6 if is_text else _NAMED, reason, place.names)


def named_hints(scene: Scene, fact: Fact) -> Iterator[Hint[FoundPlace]]:
    """Small numbers in the fact's range whose name says so: nothing in them tells them from others."""
    wanted = _NAMED_NUMBERS[fact]
    for place in scene.free:
        number = _number(place.value)
        if (
            number is not None
            and wanted.least <= number <= wanted.most
            and name_score(fact, place.names[-1:]) > 0
        ):
            reason = f"a number from {wanted.least} to {wanted.most}, and the name says so"
            yield Hint(FoundPlace(place, wanted.reading), _NAMED, reason, place.names)


def mode_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """The words central and distributed."""
    for place in scene.free:
        if isinstance(place.value, str) and bare_word(place.value) in _MODE_WORDS:
            found = FoundPlace(place, Reading.WORDS, tuple(sorted(_MODE_WORDS.items())))
            yield Hint(found, 0.8, f'the word "{place.value.strip()[:20]}"', place.names)


def firmware_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """A short text with a digit whose name says so."""
    for place in scene.free:
        if _is_version(place.value) and name_score(Fact.FIRMWARE, place.names[-1:]) > 0:
            yield Hint(
                FoundPlace(place, Reading.TEXT), 0.5, "a text with digits, and the name says so", place.names
            )


def _is_version(value: JsonValue) -> bool:
    if not isinstance(value, str) or len(value) > _LONGEST_VERSION or moment(value) is not None:
        return False
    return any(letter.isdigit() for letter in value)


NAMED = tuple(_NAMED_NUMBERS)


def _number(value: JsonValue) -> int | None:
    return None if isinstance(value, list | dict) else whole_number(value)
