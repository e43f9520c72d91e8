"""What people write down of a device stays, whatever its mesh says of it."""

import pytest

from fleet.models import Node
from fleet.verbs.book import change_nodes
from fleet.verbs.devices import put_down
from tests import make
from tests.documents import nodes

pytestmark = pytest.mark.django_db


@pytest.fixture
def node() -> Node:
    """A device that a copy has named "thing 0", in the kitchen."""
    mesh = make.mesh()
    change_nodes(mesh, make.snapshot(mesh), nodes(1))
    return mesh.nodes.get()


def next_copy(node: Node) -> Node:
    change_nodes(node.mesh, make.snapshot(node.mesh), nodes(1))
    node.refresh_from_db()
    return node


def test_a_name_that_somebody_gave_outlives_the_next_copy(node):
    node.label = "Oma's lamp"
    put_down(node, ["label"], "Noor", make.NOW)

    assert next_copy(node).label == "Oma's lamp"


def test_what_was_not_named_is_named_by_copies(node):
    node.kind = "lamp"
    put_down(node, ["kind"], "Noor", make.NOW)
    Node.objects.update(label="", room="")

    node = next_copy(node)
    assert (node.label, node.room, node.kind) == ("thing 0", "kitchen", "lamp")


def test_with_name_and_room_taken_away_copies_name_it_again(node):
    node.label = "Oma's lamp"
    put_down(node, ["label"], "Noor", make.NOW)
    node.label = node.room = ""
    put_down(node, ["label", "room"], "Noor", make.NOW)

    assert next_copy(node).label == "thing 0"
