"""Findings: named observations on a snapshot, each with how bad it is and why.

Severity says one thing only: may this copy count as a sound one?
stop: it would bring back the wrong thing or nothing, so it is held until a person has looked.
doubt: it can be used, but a person should know before relying on it.
note: worth reading, asks for nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How bad a finding is, from harmless to held."""

    NOTE = "note"
    DOUBT = "doubt"
    STOP = "stop"


class Code(StrEnum):
    """Names of findings. They are stored, so a name is never reused for something else."""

    HEAD_SHORT_WRONG = "head_short_wrong"
    HEAD_ADDRESS_UNUSABLE = "head_address_unusable"
    EXTENDED_PAN_ID_UNUSABLE = "extended_pan_id_unusable"
    PAN_ID_UNUSABLE = "pan_id_unusable"
    PAN_ID_ZERO = "pan_id_zero"
    CHANNEL_OUTSIDE_BAND = "channel_outside_band"
    CHANNEL_NOT_IN_MASK = "channel_not_in_mask"
    SECURITY_LEVEL_UNUSUAL = "security_level_unusual"
    KEY_NOT_A_KEY = "key_not_a_key"
    KEY_WEAK = "key_weak"
    KEY_PUBLIC = "key_public"
    KEY_SHARED = "key_shared"
    KEY_SEQUENCE_OUT_OF_RANGE = "key_sequence_out_of_range"
    LINK_KEY_IS_NETWORK_KEY = "link_key_is_network_key"
    COUNTER_SPENT = "counter_spent"
    COUNTER_PAST_HALF = "counter_past_half"
    COUNTER_ZERO = "counter_zero"
    COUNTER_FELL = "counter_fell"
    COUNTER_JUMPED = "counter_jumped"
    COUNTER_STOOD_STILL = "counter_stood_still"
    NO_NODES = "no_nodes"
    NODE_ADDRESS_UNUSABLE = "node_address_unusable"
    NODE_ADDRESS_TWICE = "node_address_twice"
    HEAD_AMONG_NODES = "head_among_nodes"
    SHORT_TWICE = "short_twice"
    SHORT_RESERVED = "short_reserved"
    SHORT_MISSING = "short_missing"
    PARENT_UNKNOWN = "parent_unknown"
    PARENT_CANNOT_ROUTE = "parent_cannot_route"
    TIME_MISSING = "time_missing"
    TAKEN_BEFORE_2015 = "taken_before_2015"
    TAKEN_IN_FUTURE = "taken_in_future"
    HEARD_AFTER_TAKEN = "heard_after_taken"
    WRONG_HOME = "wrong_home"
    OTHER_HEAD = "other_head"
    MESH_REFORMED = "mesh_reformed"
    ADDRESSES_REVERSED = "addresses_reversed"
    OLDER_THAN_BEFORE = "older_than_before"
    KEY_EPOCH_CHANGED = "key_epoch_changed"
    KEY_EPOCH_BEHIND = "key_epoch_behind"
    LIST_SHRUNK = "list_shrunk"
    LIST_CHANGED = "list_changed"


@dataclass(frozen=True, slots=True)
class Finding:
    """One observation. path is the fact's place in our own layout; value never holds a secret."""

    code: Code
    severity: Severity
    path: str
    message: str
    value: str = ""
    expected: str = ""


_RANK = {Severity.NOTE: 0, Severity.DOUBT: 1, Severity.STOP: 2}


def is_sound(findings: Iterable[Finding]) -> bool:
    """True where no finding stops the snapshot. A doubt alone does not."""
    return all(finding.severity is not Severity.STOP for finding in findings)


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity, or None without findings."""
    return max((finding.severity for finding in findings), key=_RANK.__getitem__, default=None)


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Stops, then doubts, then notes; otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: -_RANK[finding.severity]))
