"""Expressions for single places of a document, steady against other numbers and orders of items."""

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.sights import sights
from fleet.snapshots.expressions import MOST_CHARACTERS, name_of
from fleet.snapshots.paths import Path

_MOST_ITEMS = 64
_LONGEST_WORD = 40


def expression_at(document: JsonValue, path: Path) -> str | None:
    """The path as an expression, or None where it would be too long.

    An item of a list is named by a true of its own, then by a word that no other item has there, then by its
    number: "keys[?active] | [0].value", "parts[?kind=='air'] | [0].channel", "meshes[0].channel".
    """
    text, part = "", document
    for at, step in enumerate(path):
        if isinstance(step, str):
            text += ("." if text else "") + name_of(step)
            part = part[step] if isinstance(part, dict) else None
        elif isinstance(part, list):
            text += _chosen(part, step, path[at + 1 : at + 2])
            part = part[step]
    return text or "@" if len(text) <= MOST_CHARACTERS else None


def names_at(document: JsonValue, path: Path) -> tuple[str, ...]:
    """The names on the way to a place; for items of a list the word by which they are told apart.

    A value beside its name in an item of its own is called by that: "frame counter", not "value".
    """
    names: list[str] = []
    part = document
    for at, step in enumerate(path):
        if isinstance(step, str):
            names.append(step)
            part = part[step] if isinstance(part, dict) else None
        elif isinstance(part, list):
            member = _word_member(part, step, path[at + 1 : at + 2])
            part = part[step]
            if member is not None and isinstance(part, dict):
                names.append(str(part[member]))
    if len(path) > 1 and isinstance(path[-2], int) and len(names) > 1:
        names[-2:] = names[:-3:-1]
    return tuple(names)


def is_in_row(document: JsonValue, path: Path) -> bool:
    """True for a place in one of several items of a list that nothing but their numbers tells apart."""
    part = document
    for at, step in enumerate(path):
        if isinstance(step, str):
            part = part[step] if isinstance(part, dict) else None
        elif isinstance(part, list):
            if len(part) > 1 and _chosen(part, step, path[at + 1 : at + 2]) == f"[{step}]":
                return True
            part = part[step]
    return False


def _chosen(items: list[JsonValue], place: int, next_step: Path) -> str:
    item = items[place]
    if isinstance(item, dict) and _are_objects(items):
        others = [other for other in items if isinstance(other, dict) and other is not item]
        for name, value in item.items():
            if value is True and (name,) != next_step and all(other.get(name) is False for other in others):
                return f"[?{name_of(name)}] | [0]"
        member = _word_member(items, place, next_step)
        if member is not None:
            return f"[?{name_of(member)}=='{item[member]}'] | [0]"
    return f"[{place}]"


def _word_member(items: list[JsonValue], place: int, next_step: Path) -> str | None:
    """The member whose words are different in all items, if there is one besides the one that is looked for."""
    item = items[place]
    if not isinstance(item, dict) or not _are_objects(items):
        return None
    others = [other for other in items if isinstance(other, dict) and other is not item]
    for name, value in item.items():
        is_other_word = (name,) != next_step and _is_word(value)
        if is_other_word and all(_is_word(other.get(name)) and other[name] != value for other in others):
            return name
    return None


def _are_objects(items: list[JsonValue]) -> bool:
    return 1 < len(items) <= _MOST_ITEMS and all(isinstance(item, dict) for item in items)


def _is_word(value: JsonValue) -> bool:
    """Fit for naming an item: no number or address, which change, and nothing that needs escaping."""
    if not isinstance(value, str) or not 0 < len(value) <= _LONGEST_WORD or not value.isprintable():
        return False
    return (
        "'" not in value
        and "\\" not in value
        and not any(sight.width > 2 for sight in sights(value))
        and not value[0].isdigit()
    )
