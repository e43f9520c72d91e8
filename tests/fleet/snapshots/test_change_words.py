"""A difference between two copies in one sentence."""

from dataclasses import replace

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.change_words import FACTS, VERDICTS, summary
from fleet.snapshots.comparing import MeshFact, OlderCopies, compare
from fleet.snapshots.facts import NodeFacts
from tests.fleet.snapshots import making

MESH = own_layout.read(making.document(seed=5, nodes=8))
NEW = tuple(NodeFacts(f"02B0F1EE0000000{place}") for place in range(3))
OTHER_KEY = {"network_key": b"n" * 16, "key_sequence": (MESH.key_sequence + 1) % 256}


def said(**changes: object) -> str:
    return summary(compare(MESH, replace(MESH, **changes)))


def moved(count: int) -> tuple[NodeFacts, ...]:
    """The nodes of the mesh, so many of them under another short address."""
    there = [replace(node, short_address=0x0100 + place) for place, node in enumerate(MESH.nodes[:count])]
    return (*there, *MESH.nodes[count:])


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "Nothing changed: the same 8 devices, the same mesh."),
        (
            {"outgoing_counter": MESH.outgoing_counter + 9},
            "Nothing changed: the same 8 devices, the same mesh.",
        ),
        ({"nodes": (*MESH.nodes, *NEW)}, "3 devices joined."),
        ({"nodes": (*MESH.nodes[1:], *NEW)}, "3 devices joined, 1 left."),
        ({"nodes": MESH.nodes[1:]}, "One device left."),
        ({"nodes": moved(2)}, "2 devices changed, none joined or left."),
        ({"nodes": (*moved(2), *NEW)}, "3 devices joined, 2 changed."),
        (
            {"nodes": (*MESH.nodes[1:], *NEW), **OTHER_KEY},
            "3 devices joined, 1 left, the network key changed: older copies are locked out.",
        ),
        (
            OTHER_KEY,
            "The network key changed: older copies are locked out; no device joined, left or changed.",
        ),
        (
            {"channel": MESH.channel ^ 1, "pan_id": MESH.pan_id ^ 1},
            "The channel and the PAN ID changed: older copies are to be tuned first; "
            "no device joined, left or changed.",
        ),
        (
            {"outgoing_counter": 1},
            "The outgoing counter fell: find out why before you use either copy; "
            "no device joined, left or changed.",
        ),
        (
            {"extended_pan_id": "02D1CE0000000009"},
            "The extended PAN ID changed: older copies are of another mesh; no device joined, left or changed.",
        ),
        (
            {"update_id": (MESH.update_id + 1) % 256},
            "The update id changed; no device joined, left or changed.",
        ),
    ],
    ids=lambda value: None if isinstance(value, dict) else value[:24],
)
def test_the_sentence_says_devices_then_mesh_then_older_copies(changes: dict[str, object], sentence: str):
    assert said(**changes) == sentence


def test_only_the_gravest_change_is_in_the_sentence():
    assert "channel" not in said(channel=MESH.channel ^ 1, **OTHER_KEY)


def test_two_empty_meshes_do_not_differ():
    empty = replace(MESH, nodes=())
    assert summary(compare(empty, empty)) == "Nothing changed."


def test_every_fact_and_verdict_has_its_word():
    assert (set(FACTS), set(VERDICTS)) == (set(MeshFact), set(OlderCopies))
