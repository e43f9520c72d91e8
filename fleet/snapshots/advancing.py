"""A document made ready to restore: every counter of the head radio put forward, nothing else touched (C1)."""

from typing import cast

from fleet.mesh.counters import SPACE_END
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import JsonValue, decode
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.guides import FieldGuide, counter_places
from fleet.snapshots.paths import Path, show_path
from fleet.snapshots.readings import Reading
from fleet.snapshots.writing_back import Place, WriteBackError, Writing, write_back

HEX_READINGS = frozenset({reading for reading in Reading if "hex" in reading.value})


def advance(body: bytes, guide: FieldGuide | None, was: int, start: int) -> bytes:
    """The original octets with the network's counter set from `was` to `start`; guide None: our own layout.

    In our own layout the head's counters of link keys rise by as much: a frame secured with a link key travels in
    a network frame, so none of them can have risen by more. Raises WriteBackError or ReadError.
    """
    document = decode(body)
    if guide is not None:
        return write_back(body, dict.fromkeys(_guided_places(guide, document), start))
    counters = {Place(own_layout.COUNTER_PLACE): start}
    for path, value in _link_counters(document):
        raised = value + start - was
        if raised >= SPACE_END:
            raise WriteBackError(
                f"{show_path(path)}: {raised} is past the last usable counter; join that device anew"
            )
        counters[Place(show_path(path))] = raised
    return write_back(body, counters)


def _guided_places(guide: FieldGuide, document: JsonValue) -> list[Place]:
    is_hex = guide.rules[Fact.OUTGOING_COUNTER].reading in HEX_READINGS
    text = Writing.HEX_TEXT if is_hex else Writing.DECIMAL_TEXT
    return [
        Place(show_path(path), text if isinstance(_at(document, path), str) else Writing.NUMBER)
        for path in counter_places(guide, document)
    ]


def _at(document: JsonValue, path: Path) -> JsonValue:
    for step in path:
        document = document[step]  # type: ignore[index]
    return document


def _link_counters(document: JsonValue) -> list[tuple[Path, int]]:
    """Where the link keys' own counters stand in our own layout, and what stands there."""
    nodes = cast(dict[str, list[dict[str, dict[str, int]]]], document)["nodes"]
    return [
        (("nodes", place, "link", "outgoingCounter"), node["link"]["outgoingCounter"])
        for place, node in enumerate(nodes)
        if "outgoingCounter" in node.get("link", {})
    ]
