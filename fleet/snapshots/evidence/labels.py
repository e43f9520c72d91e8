"""Free text among the columns of a list of nodes: what people call a node, and the room it is in."""

from collections.abc import Iterator, Sequence

from fleet.snapshots.evidence.columns import Column
from fleet.snapshots.evidence.moments import moment
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.node_numbers import Found
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.sights import SHORT, sights
from fleet.snapshots.guide_facts import NodeFact
from fleet.snapshots.readings import Reading

_LEAST_FILLED = 0.5
_LEAST_DISTINCT = 0.8
_LONGEST = 120


def label_hints(columns: Sequence[Column], rows: int) -> Iterator[Hint[Found]]:
    """Texts that differ from row to row."""
    for column, distinct in _texts(columns, rows):
        if distinct >= _LEAST_DISTINCT:
            yield Hint(Found(column, Reading.TEXT), 0.55, "texts that differ from row to row", column.names)


def room_hints(columns: Sequence[Column], rows: int) -> Iterator[Hint[Found]]:
    """Texts that come back. Makers and models do so too, so without a name it stays a guess."""
    for column, distinct in _texts(columns, rows):
        score = 0.55 if name_score(NodeFact.ROOM, column.names) > 0 else 0.4
        if distinct < _LEAST_DISTINCT:
            yield Hint(
                Found(column, Reading.TEXT), score, "texts that come back from row to row", column.names
            )


def _texts(columns: Sequence[Column], rows: int) -> Iterator[tuple[Column, float]]:
    for column in columns:
        texts = [value for value in column.values.values() if isinstance(value, str)]
        if len(texts) < len(column.values) or len(texts) < _LEAST_FILLED * rows:
            continue
        if all(map(_is_text, texts)):
            yield column, len(set(texts)) / len(texts)


def _is_text(text: str) -> bool:
    if len(text) > _LONGEST or moment(text) is not None or any(sight.width > SHORT for sight in sights(text)):
        return False
    return any(letter.isalpha() for letter in text)
