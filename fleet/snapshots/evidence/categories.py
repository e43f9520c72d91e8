"""Roles, power and other words that come back from row to row.

A word is known when it is one that the standards use or plain English. Roles in other words are told by what
the nodes do: only routers have children.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.facts import LinkKeyKind, Power, Role
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import Reading
from fleet.snapshots.word_notations import bare_word, plain_word

_MOST_WORDS = 6
_LEAST_FILLED = 0.8
_YES_NO = ({"true", "false"}, {"yes", "no"}, {"on", "off"}, {"1", "0"}, {"y", "n"})

ROLE_WORDS: Mapping[str, Role] = {
    **dict.fromkeys(("coordinator", "head", "zc", "coord", "trustcenter", "trustcentre"), Role.HEAD),
    **dict.fromkeys(("router", "zr", "repeater", "relay", "ffd", "routing"), Role.ROUTER),
    **dict.fromkeys(
        ("enddevice", "end", "zed", "sed", "rfd", "leaf", "child", "sleepyenddevice", "sleeper", "sleepy"),
        Role.END_DEVICE,
    ),
}
LOGICAL_TYPES: Mapping[str, Role] = {"0": Role.HEAD, "1": Role.ROUTER, "2": Role.END_DEVICE}
"""Zigbee specification, node descriptor, logical type (recalled)."""

POWER_WORDS: Mapping[str, Power] = {
    **dict.fromkeys(("mains", "ac", "line", "wall", "mainssinglephase", "dc", "wired"), Power.MAINS),
    **dict.fromkeys(("battery", "batt", "cell"), Power.BATTERY),
    **dict.fromkeys(("harvested", "harvesting", "solar", "greenpower"), Power.HARVESTED),
}
LINK_KEY_WORDS: Mapping[str, LinkKeyKind] = {
    **dict.fromkeys(("public", "default", "global", "wellknown"), LinkKeyKind.PUBLIC),
    **dict.fromkeys(("installcode", "install", "code"), LinkKeyKind.INSTALL_CODE),
    **dict.fromkeys(("unique", "exchanged", "application"), LinkKeyKind.UNIQUE),
    **dict.fromkeys(("derived", "hashed", "seed"), LinkKeyKind.DERIVED),
    **dict.fromkeys(("none", "nokey"), LinkKeyKind.NONE),
}


def word_hints(columns: Sequence[Column], rows: int, known: Mapping[str, str]) -> Iterator[Hint[Found]]:
    """Columns whose every word is in the table."""
    for column, words in _categories(columns, rows):
        if all(bare_word(word) in known for word in words):
            found = Found(column, Reading.WORDS, tuple(sorted(known.items())))
            yield Hint(found, 0.85, f"the words {_list(words)}", column.names)


def role_hints(
    columns: Sequence[Column], rows: int, parents: Collection[int], head: Collection[int]
) -> Iterator[Hint[Found]]:
    """Roles: by known words, by logical types, else by who is a parent. parents, head: rows that are."""
    yield from word_hints(columns, rows, ROLE_WORDS)
    for column, words in _categories(columns, rows):
        by_word = {
            word: {row for row, value in column.values.items() if plain_word(value) == word} for word in words
        }
        if (
            set(words) <= set(LOGICAL_TYPES)
            and len(words) > 1
            and _agree(by_word, LOGICAL_TYPES, parents, head)
        ):
            found = Found(column, Reading.WORDS, tuple(sorted(LOGICAL_TYPES.items())))
            yield Hint(
                found,
                0.8,
                f"the logical types {_list(words)}, which agree with who is a parent",
                column.names,
            )
        elif (meanings := _by_parents(by_word, parents, head)) and not all(
            bare_word(word) in ROLE_WORDS for word in words
        ):
            found = Found(column, Reading.WORDS, tuple(sorted(meanings.items())))
            yield Hint(found, 0.65, f"of the values {_list(words)} one is that of all parents", column.names)


def sleep_hints(columns: Sequence[Column], rows: int, parents: Collection[int]) -> Iterator[Hint[Found]]:
    """Yes or no in every row, and always the same for those that are parents: they do not sleep."""
    for column, words in _categories(columns, rows):
        if len(words) != 2 or set(words) not in _YES_NO:
            continue
        of_parents = {plain_word(column.values[row]) for row in parents if row in column.values}
        if len(parents) > 1 and len(of_parents) == 1:
            means_yes = of_parents & {"true", "yes", "on", "1", "y"}
            reading = Reading.NO_YES if means_yes else Reading.YES_NO
            yield Hint(
                Found(column, reading), 0.55, "yes or no, the same for all that are parents", column.names
            )


def _categories(columns: Sequence[Column], rows: int) -> Iterator[tuple[Column, list[str]]]:
    for column in columns:
        if len(column.values) < _LEAST_FILLED * rows:
            continue
        words = _few_words(column.values.values())
        if words:
            yield column, words


def _few_words(values: Collection[JsonValue]) -> list[str]:
    words: set[str] = set()
    for value in values:
        try:
            words.add(plain_word(value))
        except ReadingError:
            return []
        if len(words) > _MOST_WORDS:
            return []
    return sorted(words)


def _agree(
    by_word: Mapping[str, set[int]],
    meanings: Mapping[str, Role],
    parents: Collection[int],
    head: Collection[int],
) -> bool:
    """No end device has children, and the head is the head."""
    for word, rows in by_word.items():
        if meanings[word] is Role.END_DEVICE and rows & set(parents):
            return False
        if meanings[word] is Role.HEAD and (len(rows) > 1 or (head and not rows & set(head))):
            return False
    return True


def _by_parents(
    by_word: Mapping[str, set[int]], parents: Collection[int], head: Collection[int]
) -> dict[str, str] | None:
    """Two words, or three with the head's: one is that of all parents but the head, the other of none."""
    meanings: dict[str, str] = {}
    rest = dict(by_word)
    for word, rows in by_word.items():
        if head and rows == set(head):
            meanings[word] = Role.HEAD
            del rest[word]
    inner = set(parents) - set(head)
    routers = [word for word, rows in rest.items() if inner and inner <= rows]
    if len(rest) != 2 or len(routers) != 1 or len(inner) < 2:
        return None
    leaves = next(word for word in rest if word not in routers)
    return meanings | {routers[0]: Role.ROUTER, leaves: Role.END_DEVICE}


def _list(words: Sequence[str]) -> str:
    return ", ".join(f'"{word[:20]}"' for word in words)
