"""A document made ready to restore: every counter of the head radio put forward, nothing else touched (C1)."""

from dataclasses import replace
from typing import cast

from fleet.mesh.counters import SPACE_END
from fleet.snapshots import own_layout
from fleet.snapshots.counter_places import CounterPlaces, counter_places
from fleet.snapshots.decoding import JsonValue, decode
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.guides import FieldGuide, read_with
from fleet.snapshots.writing_back import Place, WriteBackError, counter_at, write_back


def advance(body: bytes, guide: FieldGuide | None, start: int) -> bytes:
    """The original octets with the network's counter set to start; guide None: our own layout.

    The head's counters of link keys rise by as much: a frame secured with a link key travels in a network frame,
    so none of them can have risen by more. Counters of what others sent stay. The written document is read again
    and says what the original said but for these. Raises WriteBackError or ReadError.
    """
    document = decode(body)
    before, places = _facts(document, guide), _places(document, guide)
    rise = start - before.outgoing_counter
    counters = dict.fromkeys(places.network, start)
    counters |= {place: _raised(document, place, rise) for place in places.links}
    written = write_back(body, counters)
    after = decode(written)
    if _facts(after, guide) != _advanced(before, rise) or _places(after, guide) != places:
        raise WriteBackError(
            "the layout does not show the written counters where it should: it is not given out"
        )
    return written


def _facts(document: JsonValue, guide: FieldGuide | None) -> SnapshotFacts:
    return own_layout.read(document) if guide is None else read_with(guide, document)


def _places(document: JsonValue, guide: FieldGuide | None) -> CounterPlaces:
    if guide is not None:
        return counter_places(guide, document)
    nodes = cast(dict[str, list[dict[str, dict[str, int]]]], document)["nodes"]
    links = [
        Place(("nodes", number, "link", "outgoingCounter"))
        for number, node in enumerate(nodes)
        if "outgoingCounter" in node.get("link", {})
    ]
    return CounterPlaces((Place(own_layout.COUNTER_PATH),), tuple(links))


def _raised(document: JsonValue, place: Place, rise: int) -> int:
    raised = counter_at(document, place) + rise
    if raised >= SPACE_END:
        raise WriteBackError(f"{place}: {raised} is past the last usable counter; join that device anew")
    return raised


def _advanced(facts: SnapshotFacts, rise: int) -> SnapshotFacts:
    nodes = tuple(
        node
        if node.outgoing_counter is None
        else replace(node, outgoing_counter=node.outgoing_counter + rise)
        for node in facts.nodes
    )
    return replace(facts, outgoing_counter=facts.outgoing_counter + rise, nodes=nodes)
