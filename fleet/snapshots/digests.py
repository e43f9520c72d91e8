"""Digests by which documents and keys are recognised without being shown.

A digest over secrets is keyed, so that nobody without the key can try candidates. The key is at least
16 octets and is the caller's.
"""

import hmac
from dataclasses import fields
from hashlib import sha256
from operator import attrgetter, itemgetter

import orjson

from fleet.snapshots.facts import NodeFacts, SnapshotFacts

LEAST_KEY_OCTETS = 16

_SHOWN_OCTETS = 4
_MEANING = b"meaning 1"
_KEY_MARK = b"network key 1"
_CODE_MARK = b"install code 1"

# Plain tuples are written twice as fast as the facts themselves.
_NODE_FIELDS = [field.name for field in fields(NodeFacts)]
_of_node = attrgetter(*_NODE_FIELDS)
_of_mesh = attrgetter(
    *(field.name for field in fields(SnapshotFacts) if field.name not in ("writer", "nodes"))
)
_ADDRESS = _NODE_FIELDS.index("extended_address")


class DigestKeyError(ValueError):
    """A digest key that is too short to keep secrets."""


def digest_of_bytes(data: bytes) -> bytes:
    """SHA-256 (FIPS 180-4), 32 octets."""
    return sha256(data).digest()


def keyed_digest(key: bytes, data: bytes) -> bytes:
    """HMAC-SHA-256 (RFC 2104, FIPS 198-1), 32 octets. Raises DigestKeyError."""
    if len(key) < LEAST_KEY_OCTETS:
        raise DigestKeyError(f"digest key of {len(key)} octets: right are {LEAST_KEY_OCTETS} or more")
    return hmac.digest(key, data, "sha256")


def key_mark(digest_key: bytes, network_key: bytes) -> bytes:
    """What stands for a network key wherever two are compared: 32 octets, equal only for equal keys."""
    return keyed_digest(digest_key, _KEY_MARK + network_key)


def code_mark(digest_key: bytes, install_code: bytes) -> bytes:
    """What stands for an install code, given without its check: 32 octets, equal only for equal codes."""
    return keyed_digest(digest_key, _CODE_MARK + install_code)


def shown_key_mark(mark: bytes) -> str:
    """The first 8 hex digits of a key mark, for people to tell keys apart on pages and sheets."""
    return mark[:_SHOWN_OCTETS].hex().upper()


def meaning_digest(facts: SnapshotFacts, digest_key: bytes) -> bytes:
    """32 octets, equal for snapshots that say the same, whatever their layout, row order or notation.

    The time at which the copy was taken is part of the meaning; the program that wrote it is not. Keyed,
    because the facts hold keys. A field added to the facts changes the digest: then raise _MEANING.
    """
    nodes = sorted(map(_of_node, facts.nodes), key=itemgetter(_ADDRESS))
    if len({node[_ADDRESS] for node in nodes}) < len(nodes):
        nodes.sort(key=_octets)
    return keyed_digest(digest_key, _MEANING + _octets((_of_mesh(facts), nodes)))


def _octets(values: object) -> bytes:
    return orjson.dumps(values, default=bytes.hex)
