"""Documents of many layouts, none of which the proposer knows: what it proposes must read back the truth."""

from typing import Any

import orjson
import pytest

from fleet.snapshots.decoding import decode
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.guides import from_json, read_with, to_json
from fleet.snapshots.proposing import propose
from tests.fleet.snapshots.foreign import MESH, NODE, Layout, truth
from tests.fleet.snapshots.foreign_layouts import LAYOUTS
from tests.fleet.snapshots.foreign_mix import mix
from tests.fleet.snapshots.foreign_names import renamed

SIZES = (8, 24, 90, 400)
MIXES = range(80)


def as_decoded(document: Any) -> Any:
    return decode(orjson.dumps(document))


def differences(
    facts: SnapshotFacts, expected: SnapshotFacts, mesh: frozenset[str], node: frozenset[str]
) -> list[str]:
    """Names of the facts that are not as expected; nodes are matched by address."""
    wrong = [name for name in sorted(mesh) if getattr(facts, name) != getattr(expected, name)]
    found = {each.extended_address: each for each in facts.nodes}
    if found.keys() != {each.extended_address for each in expected.nodes} or len(facts.nodes) != len(
        expected.nodes
    ):
        return [*wrong, "nodes"]
    return wrong + [
        f"nodes.{name}"
        for name in sorted(node)
        if any(getattr(found[each.extended_address], name) != getattr(each, name) for each in expected.nodes)
    ]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_the_proposal_reads_back_the_truth(layout: Layout, size: int, seed: int) -> None:
    expected = truth(seed, size)
    document = as_decoded(layout.write(expected))

    facts = read_with(propose(document).guide("proposed"), document)

    assert differences(facts, expected, layout.mesh, layout.node) == []


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_a_guide_proposed_for_one_mesh_reads_another(layout: Layout) -> None:
    guide = propose(as_decoded(layout.write(truth(1)))).guide("proposed")
    expected = truth(2)

    facts = read_with(guide, as_decoded(layout.write(expected)))

    assert differences(facts, expected, layout.mesh, layout.node) == []


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_names_without_meaning_change_nothing_that_values_show(layout: Layout) -> None:
    expected = truth(5)
    document = renamed(as_decoded(layout.write(expected)), 5)

    facts = read_with(propose(document).guide("proposed"), document)

    unnamed = layout.mesh - {"key_sequence"}
    assert differences(facts, expected, unnamed, layout.node) == []


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_a_proposed_guide_survives_its_file(layout: Layout) -> None:
    guide = propose(as_decoded(layout.write(truth(6)))).guide("proposed")

    assert from_json(to_json(guide)) == guide


@pytest.mark.parametrize("seed", MIXES)
def test_a_layout_put_together_by_lot_is_read_back(seed: int) -> None:
    expected = truth(seed, 18)
    mixed = mix(expected, seed)
    document = as_decoded(mixed.document)

    facts = read_with(propose(document).guide("proposed"), document)

    mesh, node = MESH | {"key_sequence", "taken_at"}, NODE | {"last_heard"}
    assert differences(facts, expected, mesh, node) == [], mixed.what


@pytest.mark.parametrize("seed", MIXES)
def test_a_layout_put_together_by_lot_is_read_back_without_its_names(seed: int) -> None:
    expected = truth(seed, 18)
    mixed = mix(expected, seed)
    document = renamed(as_decoded(mixed.document), seed)

    facts = read_with(propose(document).guide("proposed"), document)

    assert differences(facts, expected, MESH | {"taken_at"}, NODE | {"last_heard"}) == [], mixed.what
