"""A head's address in the object around a list of nodes: the mesh's own, and nobody's parent without more to say so."""

import pytest

from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.proposal import ProposedFact
from fleet.snapshots.proposing import propose

HEAD = "02A4C138FFFE0001"
PARENTS = (NodeFact.PARENT, NodeFact.PARENT_SHORT)


def document(count: int, around: dict[str, object], **given: object) -> dict[str, object]:
    """An invented layout whose nodes stand in a box that says something itself."""
    nodes = [
        {"ieee": f"02A4C138{number * 0x01234567 & 0xFFFFFFFF:08X}", "nwk": f"{number + 4660:04X}", **given}
        for number in range(1, count + 1)
    ]
    return {
        "net": {"secret": "9f3c71a4d2e85b06177a4c93be20f8d1", "chan": 15, "pan": "9F77", "frames": 1_463_120},
        "boxes": [{**around, "things": nodes}],
    }


def parents(document: dict[str, object]) -> list[ProposedFact]:
    return [fact for each in propose(document).lists for fact in each.facts if fact.fact in PARENTS]


@pytest.mark.parametrize("around", [{"mac": HEAD}, {"nwk": "0000"}, {"mac": HEAD, "nwk": "0000"}])
@pytest.mark.parametrize("count", [2, 12])
def test_one_value_around_all_nodes_is_nobodys_parent(count, around):
    assert parents(document(count, around)) == []


def test_it_is_the_heads_address_all_the_same():
    (head,) = [fact for fact in propose(document(12, {"mac": HEAD})).facts if fact.fact is Fact.HEAD_ADDRESS]

    assert head.best.sample.replace(" ", "") == HEAD
    assert head.is_taken
    assert "point at" not in head.best.reason


def test_around_one_node_it_is_its_parent_with_doubt():
    (parent,) = parents(document(1, {"mac": HEAD}))

    assert parent.is_taken
    assert parent.best.confidence < 0.6


def test_around_many_nodes_it_is_their_parent_with_doubt_where_it_is_called_so():
    (parent,) = parents(document(12, {"parent": HEAD}))

    assert parent.is_taken
    assert parent.best.confidence < 0.6


def test_in_the_rows_themselves_it_is_their_parent():
    (parent,) = parents(document(12, {"mac": HEAD}, up=HEAD))

    assert parent.best.confidence > 0.8
