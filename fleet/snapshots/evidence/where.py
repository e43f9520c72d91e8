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


def _chosen(items: list[JsonValue], place: int, next_step: Path) -> str:
    item = items[place]
    if (
        1 < len(items) <= _MOST_ITEMS
        and isinstance(item, dict)
        and all(isinstance(other, dict) for other in items)
    ):
        others = [other for other in items if isinstance(other, dict) and other is not item]
        members = [(name, value) for name, value in item.items() if (name,) != next_step]
        for name, value in members:
            if value is True and all(other.get(name) is False for other in others):
                return f"[?{name_of(name)}] | [0]"
        for name, value in members:
            if _is_word(value) and all(
                _is_word(other.get(name)) and other[name] != value for other in others
            ):
                return f"[?{name_of(name)}=='{value}'] | [0]"
    return f"[{place}]"


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
