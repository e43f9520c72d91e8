"""The facts that a field guide can find in a foreign document, and of which kind each is."""

from enum import StrEnum


class Kind(StrEnum):
    """What sort of value a fact has; with a reading it decides how a foreign value is taken."""

    ADDRESS = "address"
    KEY = "key"
    SHORT = "short"
    COUNTER = "counter"
    OCTET = "octet"
    CHANNEL = "channel"
    MASK = "mask"
    WHOLE = "whole"
    TIME = "time"
    TRUTH = "truth"
    TEXT = "text"
    ROLE = "role"
    POWER = "power"
    LINK_KEY_KIND = "link_key_kind"
    SECURITY_MODE = "security_mode"


class Fact(StrEnum):
    """Facts of the mesh itself, named as in SnapshotFacts."""

    HEAD_ADDRESS = "head_address"
    EXTENDED_PAN_ID = "extended_pan_id"
    PAN_ID = "pan_id"
    CHANNEL = "channel"
    NETWORK_KEY = "network_key"
    KEY_SEQUENCE = "key_sequence"
    OUTGOING_COUNTER = "outgoing_counter"
    TAKEN_AT = "taken_at"
    HEAD_SHORT_ADDRESS = "head_short_address"
    CHANNEL_PAGE = "channel_page"
    CHANNEL_MASK = "channel_mask"
    UPDATE_ID = "update_id"
    POWER_DBM = "power_dbm"
    SECURITY_LEVEL = "security_level"
    SECURITY_MODE = "security_mode"
    LINK_KEY_SEED = "link_key_seed"
    STACK_PROFILE = "stack_profile"
    STACK_REVISION = "stack_revision"
    FIRMWARE = "firmware"
    WRITER = "writer"


class NodeFact(StrEnum):
    """Facts of one node, named as in NodeFacts.

    Besides these, four by which one row points at another: a parent by its short address, a mark (any text or
    number by which the document itself tells its nodes apart), a parent by its mark, and a list's own mark.
    The outgoing counter is what the head radio has sent under this node's link key: writing back raises it. The
    incoming counter is what came from the node, and stays.
    """

    EXTENDED_ADDRESS = "extended_address"
    SHORT_ADDRESS = "short_address"
    ROLE = "role"
    PARENT = "parent"
    PARENT_SHORT = "parent_short"
    MARK = "mark"
    PARENT_MARK = "parent_mark"
    POWER = "power"
    SLEEPS = "sleeps"
    LINK_KEY_KIND = "link_key_kind"
    LINK_KEY = "link_key"
    OUTGOING_COUNTER = "outgoing_counter"
    INCOMING_COUNTER = "incoming_counter"
    LONGEST_SILENCE_SECONDS = "longest_silence_seconds"
    LABEL = "label"
    ROOM = "room"
    LAST_HEARD = "last_heard"


KIND: dict[Fact, Kind] = {
    Fact.HEAD_ADDRESS: Kind.ADDRESS,
    Fact.EXTENDED_PAN_ID: Kind.ADDRESS,
    Fact.PAN_ID: Kind.SHORT,
    Fact.CHANNEL: Kind.CHANNEL,
    Fact.NETWORK_KEY: Kind.KEY,
    Fact.KEY_SEQUENCE: Kind.OCTET,
    Fact.OUTGOING_COUNTER: Kind.COUNTER,
    Fact.TAKEN_AT: Kind.TIME,
    Fact.HEAD_SHORT_ADDRESS: Kind.SHORT,
    Fact.CHANNEL_PAGE: Kind.OCTET,
    Fact.CHANNEL_MASK: Kind.MASK,
    Fact.UPDATE_ID: Kind.OCTET,
    Fact.POWER_DBM: Kind.WHOLE,
    Fact.SECURITY_LEVEL: Kind.OCTET,
    Fact.SECURITY_MODE: Kind.SECURITY_MODE,
    Fact.LINK_KEY_SEED: Kind.KEY,
    Fact.STACK_PROFILE: Kind.OCTET,
    Fact.STACK_REVISION: Kind.OCTET,
    Fact.FIRMWARE: Kind.TEXT,
    Fact.WRITER: Kind.TEXT,
}

NODE_KIND: dict[NodeFact, Kind] = {
    NodeFact.EXTENDED_ADDRESS: Kind.ADDRESS,
    NodeFact.SHORT_ADDRESS: Kind.SHORT,
    NodeFact.ROLE: Kind.ROLE,
    NodeFact.PARENT: Kind.ADDRESS,
    NodeFact.PARENT_SHORT: Kind.SHORT,
    NodeFact.MARK: Kind.TEXT,
    NodeFact.PARENT_MARK: Kind.TEXT,
    NodeFact.POWER: Kind.POWER,
    NodeFact.SLEEPS: Kind.TRUTH,
    NodeFact.LINK_KEY_KIND: Kind.LINK_KEY_KIND,
    NodeFact.LINK_KEY: Kind.KEY,
    NodeFact.OUTGOING_COUNTER: Kind.COUNTER,
    NodeFact.INCOMING_COUNTER: Kind.COUNTER,
    NodeFact.LONGEST_SILENCE_SECONDS: Kind.WHOLE,
    NodeFact.LABEL: Kind.TEXT,
    NodeFact.ROOM: Kind.TEXT,
    NodeFact.LAST_HEARD: Kind.TIME,
}

REQUIRED = (
    Fact.HEAD_ADDRESS,
    Fact.EXTENDED_PAN_ID,
    Fact.PAN_ID,
    Fact.CHANNEL,
    Fact.NETWORK_KEY,
    Fact.KEY_SEQUENCE,
    Fact.OUTGOING_COUNTER,
)
"""Without these a document says nothing about a mesh that could be brought back."""

FIXABLE = (
    Fact.KEY_SEQUENCE,
    Fact.HEAD_SHORT_ADDRESS,
    Fact.CHANNEL_PAGE,
    Fact.UPDATE_ID,
    Fact.POWER_DBM,
    Fact.SECURITY_LEVEL,
    Fact.SECURITY_MODE,
    Fact.STACK_PROFILE,
    Fact.STACK_REVISION,
)
"""What a guide may state by itself where a layout leaves it out. Identity, keys and counters never."""


def words(fact: Fact | NodeFact) -> str:
    """ "head_address" -> "head address", as sentences say it."""
    return fact.value.replace("_", " ").replace("pan id", "PAN ID")


def is_secret(kind: Kind) -> bool:
    """Keys are credentials: their values are never shown."""
    return kind is Kind.KEY
