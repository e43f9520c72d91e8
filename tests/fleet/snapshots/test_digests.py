"""Equal meaning, equal digest; and keys that are compared without being shown."""

import json
from dataclasses import replace

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.decoding import decode
from fleet.snapshots.digests import (
    DigestKeyError,
    digest_of_bytes,
    key_mark,
    keyed_digest,
    meaning_digest,
    shown_key_mark,
)
from fleet.snapshots.facts import NodeFacts
from tests.fleet.snapshots import making

DIGEST_KEY = bytes(range(32))
NETWORK_KEY = bytes.fromhex("4F1C9A3377E2B05D8C66A1F0D2935B7E")
DOCUMENT = making.document(nodes=20)
FACTS = own_layout.read(DOCUMENT)


def meaning_of(octets: bytes) -> bytes:
    return meaning_digest(own_layout.read(decode(octets)), DIGEST_KEY)


def with_separators(value: object) -> object:
    """Every 64-bit address and 128-bit key in lower case and parted by colons."""
    if isinstance(value, dict):
        return {name: with_separators(inner) for name, inner in reversed(value.items())}
    if isinstance(value, list):
        return [with_separators(inner) for inner in value]
    if isinstance(value, str) and len(value) in (16, 32) and value.isupper() and value.isalnum():
        return ":".join(value[at : at + 2] for at in range(0, len(value), 2)).lower()
    return value


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param(json.dumps(DOCUMENT).encode(), id="blanks after separators"),
        pytest.param(json.dumps(DOCUMENT, indent=2).replace("\n", "\r\n").encode(), id="other line ends"),
        pytest.param(json.dumps(DOCUMENT, sort_keys=True).encode(), id="other key order"),
        pytest.param(json.dumps(with_separators(DOCUMENT)).encode(), id="other case and separators"),
        pytest.param(
            json.dumps(DOCUMENT | {"nodes": DOCUMENT["nodes"][::-1]}).encode(), id="other row order"
        ),
        pytest.param(
            json.dumps(DOCUMENT | {"taken": "2026-11-25T04:00:00+01:00"}).encode(), id="other time offset"
        ),
        pytest.param(json.dumps(DOCUMENT | {"writer": {"name": "other"}}).encode(), id="other writer"),
    ],
)
def test_notation_does_not_change_the_meaning(octets: bytes):
    assert meaning_of(octets) == meaning_of(making.octets(DOCUMENT))


@pytest.mark.parametrize(
    "change",
    [
        {"outgoing_counter": FACTS.outgoing_counter + 1},
        {"network_key": NETWORK_KEY},
        {"link_key_seed": NETWORK_KEY},
        {"taken_at": making.TAKEN + making.DAY},
        {"pan_id": FACTS.pan_id ^ 1},
        {"nodes": FACTS.nodes[1:]},
        {"nodes": (replace(FACTS.nodes[0], link_key=NETWORK_KEY), *FACTS.nodes[1:])},
        {"nodes": (replace(FACTS.nodes[0], label="other"), *FACTS.nodes[1:])},
        {"tables": replace(FACTS.tables, children=10)},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_changed_fact_changes_the_meaning(change: dict[str, object]):
    assert meaning_digest(replace(FACTS, **change), DIGEST_KEY) != meaning_digest(FACTS, DIGEST_KEY)


def test_rows_with_one_address_mean_the_same_in_any_order():
    twin = NodeFacts("02A4C138F00D0011", short_address=1), NodeFacts("02A4C138F00D0011", short_address=2)
    one, other = replace(FACTS, nodes=twin), replace(FACTS, nodes=twin[::-1])
    assert meaning_digest(one, DIGEST_KEY) == meaning_digest(other, DIGEST_KEY)


def test_the_meaning_cannot_be_tried_without_the_digest_key():
    assert meaning_digest(FACTS, bytes(32)) != meaning_digest(FACTS, DIGEST_KEY)


def test_equal_keys_have_equal_marks():
    assert key_mark(DIGEST_KEY, NETWORK_KEY) == key_mark(DIGEST_KEY, bytes(NETWORK_KEY))


def test_a_mark_is_not_the_digest_of_the_key_alone():
    mark = key_mark(DIGEST_KEY, NETWORK_KEY)
    assert mark not in (digest_of_bytes(NETWORK_KEY), keyed_digest(DIGEST_KEY, NETWORK_KEY))


def test_a_mark_is_shown_as_eight_hex_digits():
    assert shown_key_mark(bytes.fromhex("0a1b2c3d") + bytes(28)) == "0A1B2C3D"


def test_a_short_digest_key_is_refused():
    with pytest.raises(DigestKeyError, match="15 octets"):
        keyed_digest(bytes(15), b"data")
