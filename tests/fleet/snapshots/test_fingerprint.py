import copy
from random import Random
from typing import Any

import pytest

from fleet.snapshots.fingerprint import layout_fingerprint, layout_shape, likeness
from tests.fleet.snapshots.foreign import truth
from tests.fleet.snapshots.foreign_layouts import LAYOUTS, decimal, deep, keyed

DOCUMENT = {
    "net": {"pan": "1A2B", "old": None},
    "nodes": [{"a": 1, "link": {"key": "x"}}, {"a": 2, "link": None}, {"a": 3, "link": {"key": "y"}}],
    "keyed": {"02a4c10000000011": {"s": 1}, "02a4c10000000012": {"s": 2}},
}


def with_change(act: Any) -> dict[str, Any]:
    document: dict[str, Any] = copy.deepcopy(DOCUMENT)
    act(document)
    return document


def test_a_shape_is_the_key_paths_with_items_as_one() -> None:
    assert layout_shape(DOCUMENT) == {
        "/net/pan",
        "/net/old",
        "/nodes[]",
        "/nodes[]/a",
        "/nodes[]/link/key",
        "/keyed{}/s",
    }


def test_a_fingerprint_is_half_the_sha_256_of_the_sorted_paths() -> None:
    assert layout_fingerprint({"a": 1}) == "6a50dc8584134c7de537c0052ff6d236"


@pytest.mark.parametrize(
    "act",
    [
        lambda document: document["net"].update(pan="9999"),
        lambda document: document["net"].update(old="text"),
        lambda document: document["net"].update(pan=5),
        lambda document: document["nodes"].pop(),
        lambda document: document["nodes"].reverse(),
        lambda document: document["nodes"].append({"a": 4, "link": {"key": "z"}}),
        lambda document: document["keyed"].pop("02a4c10000000011"),
        lambda document: document["keyed"].update({"02a4c10000000099": {"s": 9}}),
        lambda document: document.update(net=document.pop("net")),
    ],
)
def test_values_counts_and_order_make_no_other_layout(act: Any) -> None:
    assert layout_fingerprint(with_change(act)) == layout_fingerprint(DOCUMENT)


@pytest.mark.parametrize(
    "act",
    [
        lambda document: document["net"].update(more=1),
        lambda document: document["net"].pop("pan"),
        lambda document: document.update(mesh=document.pop("net")),
        lambda document: document.update(nodes={"list": document.pop("nodes")}),
        lambda document: [node.update(b=1) for node in document["nodes"]],
        lambda document: document["net"].update(pan=[1, 2]),
        lambda document: document.update(nodes=[]),
    ],
)
def test_other_names_or_nesting_make_another_layout(act: Any) -> None:
    assert layout_fingerprint(with_change(act)) != layout_fingerprint(DOCUMENT)


def test_a_member_that_few_items_have_makes_no_other_layout() -> None:
    many = {"nodes": [{"a": number} for number in range(40)]}
    rare = {"nodes": [{"a": number} | ({"note": "x"} if number == 7 else {}) for number in range(40)]}

    assert layout_fingerprint(many) == layout_fingerprint(rare)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_meshes_of_any_size_in_one_layout_have_the_same_fingerprint(layout: Any) -> None:
    sizes = ((1, 9), (2, 24), (3, 80))

    found = {layout_fingerprint(layout.write(truth(seed, size=size))) for seed, size in sizes}

    assert len(found) == 1


def test_no_two_layouts_share_a_fingerprint() -> None:
    found = {layout_fingerprint(layout.write(truth(1))) for layout in LAYOUTS}

    assert len(found) == len(LAYOUTS)


def test_likeness_is_one_for_equal_shapes_and_small_for_others() -> None:
    shape, other = layout_shape(deep(truth(1))), layout_shape(keyed(truth(1)))

    assert likeness(shape, shape) == 1.0
    assert likeness(shape, other) < 0.2


def test_a_renamed_member_leaves_most_of_the_likeness() -> None:
    before = decimal(truth(1))
    after = decimal(truth(1))
    after["cfg"]["color"] = after["cfg"].pop("chan")

    assert 0.8 < likeness(layout_shape(before), layout_shape(after)) < 1.0


def test_order_of_members_makes_no_difference_anywhere() -> None:
    document = keyed(truth(4))

    assert layout_fingerprint(shuffled(document, Random(9))) == layout_fingerprint(document)


def shuffled(part: Any, chance: Random) -> Any:
    if isinstance(part, dict):
        names = list(part)
        chance.shuffle(names)
        return {name: shuffled(part[name], chance) for name in names}
    return [shuffled(item, chance) for item in part] if isinstance(part, list) else part


@pytest.mark.parametrize("document", [None, 5, "x", [], {}, [[]], [{}], {"a": {}}])
def test_anything_has_a_fingerprint(document: Any) -> None:
    assert len(layout_fingerprint(document)) == 32


def test_a_name_cannot_pass_for_a_path() -> None:
    assert layout_shape({"a/b": 1}) != layout_shape({"a": {"b": 1}})
    assert layout_shape({"a[]": 1}) != layout_shape({"a": [1]})
