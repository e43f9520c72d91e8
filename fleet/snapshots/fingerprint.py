"""The shape of a document: which members it has and how they nest, without any of its values.

A shape is a set of key paths. Items of a list count as one, and so do the members of an object that stands
for a list (keyed by address, or all alike), and lists of one name inside each other. Not part of a shape, as
they differ between documents of one layout: order, numbers of items, members that fewer than nine in ten items
have, and the kind of a single value (null today, text tomorrow; that a number became a text is for the reading
to find).
"""

import hashlib
from collections import Counter
from collections.abc import Iterator
from typing import TypeAlias

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.keyed import is_keyed

Shape: TypeAlias = frozenset[str]

_USUAL_SHARE = 0.9
_DIGITS = 32
_ESCAPES = str.maketrans({"~": "~0", "/": "~1", "[": "~2", "{": "~3", "\n": "~4"})


def layout_fingerprint(document: JsonValue) -> str:
    """32 hex digits that are equal for documents of the same shape (SHA-256, first half)."""
    text = "\n".join(sorted(layout_shape(document)))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]


def layout_shape(document: JsonValue) -> Shape:
    """The key paths of a document: "/air/channel", "/nodes[]/short", "/nodes{}/short"."""
    return frozenset(_paths("", [document]))


def likeness(shape: Shape, other: Shape) -> float:
    """How much two shapes have in common: shared paths by all paths, 0 to 1 (Jaccard)."""
    every = shape | other
    return len(shape & other) / len(every) if every else 1.0


def _paths(path: str, parts: list[JsonValue], name: str = "") -> Iterator[str]:
    """The paths below one place, at which all these parts stand under this name."""
    objects = [part for part in parts if isinstance(part, dict) and part]
    lists = [part for part in parts if isinstance(part, list)]
    all_keyed = bool(objects) and all(map(is_keyed, objects))
    keyed, records = (objects, []) if all_keyed else ([], objects)
    if not objects and not lists:
        yield path
    if lists:
        yield f"{path}[]"
    yield from _below(f"{path}[]", _items(lists, name), name)
    yield from _below(f"{path}{{}}", [member for part in keyed for member in part.values()])
    counts = Counter(name for record in records for name in record)
    for member, count in counts.items():
        if count < _USUAL_SHARE * len(records) or (member == name and path.endswith("[]")):
            continue
        below = f"{path}/{member.translate(_ESCAPES)}"
        members = [record[member] for record in records if member in record]
        if len(members) == 1 and not isinstance(members[0], dict | list):
            yield below
        else:
            yield from _paths(below, members, member)


def _items(lists: list[list[JsonValue]], name: str) -> list[JsonValue]:
    """The items of lists, and of the lists of the same name inside them: however deep, they are one sort."""
    items = [item for part in lists for item in part]
    for item in items:  # which grow on the way
        inner = item.get(name) if isinstance(item, dict) and name else None
        if isinstance(inner, list):
            items += inner
    return items


def _below(path: str, parts: list[JsonValue], name: str = "") -> Iterator[str]:
    return _paths(path, parts, name) if parts else iter(())
