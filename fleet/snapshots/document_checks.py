"""Checks of one snapshot by itself: what needs neither the register nor an earlier copy.

Each takes the facts and yields what it finds; finding_rules says how grave it is.
Ranges: Zigbee specification (NWK) and IEEE 802.15.4.
"""

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import TypeVar

from fleet.mesh.addresses import LAST_NODE_SHORT, NO_PAN_ID, show_eui64, show_pan_id, show_short
from fleet.mesh.channels import CHANNELS
from fleet.mesh.counters import HALF_WAY, SPACE_END
from fleet.snapshots.facts import Role, SnapshotFacts
from fleet.snapshots.finding_rules import finding
from fleet.snapshots.findings import Code, Finding
from fleet.snapshots.paths import HIDDEN
from fleet.snapshots.weak_keys import is_public, unset_pattern, weak_pattern

UNUSABLE_64 = frozenset({"0" * 16, "F" * 16})
NO_SHORT = 0xFFFE
"""Means that a short address was never given (Zigbee NWK)."""
USUAL_SECURITY_LEVEL = 5
EARLIEST_TAKEN = datetime(2015, 1, 1, tzinfo=UTC)
"""An earlier stamp comes from a clock that was never set (common practice, no source)."""
HEARD_TOLERANCE = timedelta(minutes=5)

_MOST_NAMED = 3
_END_DEVICE = Role.END_DEVICE  # looked up once: a member of an enum is slow to reach

_Value = TypeVar("_Value", bound=Hashable)


def head_short(facts: SnapshotFacts) -> Iterator[Finding]:
    """The coordinator's short address is 0x0000."""
    if facts.head_short_address != 0:
        yield finding(Code.HEAD_SHORT_WRONG, "$.identity.headShort", show_short(facts.head_short_address))


def identity(facts: SnapshotFacts) -> Iterator[Finding]:
    """All-zero and all-ones are no addresses and no extended PAN IDs."""
    if facts.head_address in UNUSABLE_64:
        yield finding(Code.HEAD_ADDRESS_UNUSABLE, "$.identity.headAddress", show_eui64(facts.head_address))
    if facts.extended_pan_id in UNUSABLE_64:
        yield finding(
            Code.EXTENDED_PAN_ID_UNUSABLE, "$.identity.extendedPanId", show_eui64(facts.extended_pan_id)
        )


def pan_id(facts: SnapshotFacts) -> Iterator[Finding]:
    """0xFFFF means none; 0x0000 is allowed but rarely meant (common practice, no source)."""
    if not 0 <= facts.pan_id < NO_PAN_ID:
        yield finding(Code.PAN_ID_UNUSABLE, "$.identity.panId", show_pan_id(facts.pan_id))
    elif facts.pan_id == 0:
        yield finding(Code.PAN_ID_ZERO, "$.identity.panId", "0x0000")


def channel(facts: SnapshotFacts) -> Iterator[Finding]:
    """On page 0: the channel in its band and in the mask. Other pages count otherwise and are not judged."""
    if facts.channel_page != 0:
        return
    if facts.channel not in CHANNELS:
        yield finding(Code.CHANNEL_OUTSIDE_BAND, "$.air.channel", str(facts.channel))
    elif facts.channel_mask is not None and not facts.channel_mask >> facts.channel & 1:
        mask = f"{facts.channel_mask:08X}"
        yield finding(Code.CHANNEL_NOT_IN_MASK, "$.air.mask", mask, channel=facts.channel)


def network_key(facts: SnapshotFacts) -> Iterator[Finding]:
    """Not a placeholder, not guessable, not in use as a link key."""
    path = "$.security.networkKey"
    if pattern := unset_pattern(facts.network_key):
        yield finding(Code.KEY_NOT_A_KEY, path, HIDDEN, pattern=pattern)
    elif is_public(facts.network_key):
        yield finding(Code.KEY_PUBLIC, path, HIDDEN)
    elif pattern := weak_pattern(facts.network_key):
        yield finding(Code.KEY_WEAK, path, HIDDEN, pattern=pattern)
    link_keys = [node.link_key for node in facts.nodes]
    if facts.network_key in link_keys:
        place = link_keys.index(facts.network_key)
        yield finding(Code.LINK_KEY_IS_NETWORK_KEY, f"$.nodes[{place}].link.key", HIDDEN)


def security(facts: SnapshotFacts) -> Iterator[Finding]:
    """Level 5 is what Zigbee prescribes; the key sequence is one octet."""
    if facts.security_level not in (None, USUAL_SECURITY_LEVEL):
        yield finding(Code.SECURITY_LEVEL_UNUSUAL, "$.security.level", str(facts.security_level))
    if not 0 <= facts.key_sequence <= 255:
        yield finding(Code.KEY_SEQUENCE_OUT_OF_RANGE, "$.security.keySequence", str(facts.key_sequence))


def counter(facts: SnapshotFacts) -> Iterator[Finding]:
    """0xFFFFFFFF is not usable; from half-way the key should be changed first (C1)."""
    value, path = facts.outgoing_counter, "$.security.outgoingCounter"
    if not 0 <= value < SPACE_END:
        yield finding(Code.COUNTER_SPENT, path, str(value))
    elif value >= HALF_WAY:
        yield finding(Code.COUNTER_PAST_HALF, path, str(value))
    elif value == 0 and facts.nodes:
        yield finding(Code.COUNTER_ZERO, path, "0")


def node_addresses(facts: SnapshotFacts) -> Iterator[Finding]:
    """Every node once, each with an address that a device can have, the head not among them."""
    addresses = [node.extended_address for node in facts.nodes]
    unique = set(addresses)
    if not addresses:
        yield finding(Code.NO_NODES, "$.nodes", "an empty list")
    for bad in sorted(unique & UNUSABLE_64):
        place = addresses.index(bad)
        yield finding(Code.NODE_ADDRESS_UNUSABLE, f"$.nodes[{place}].address", show_eui64(bad))
    if len(unique) < len(addresses):
        twice = _twice(addresses)
        place = _second(addresses, twice[0])
        yield finding(Code.NODE_ADDRESS_TWICE, f"$.nodes[{place}].address", _some(map(show_eui64, twice)))
    if facts.head_address in unique:
        place = addresses.index(facts.head_address)
        yield finding(Code.HEAD_AMONG_NODES, f"$.nodes[{place}].address", show_eui64(facts.head_address))


def short_addresses(facts: SnapshotFacts) -> Iterator[Finding]:
    """Short addresses known, each once, none of the head, reserved or a broadcast."""
    stated = [node.short_address for node in facts.nodes]
    shorts = [short for short in stated if short is not None and short != NO_SHORT]
    if len(shorts) < len(stated):
        place = next(place for place, short in enumerate(stated) if short is None or short == NO_SHORT)
        missing = f"{len(stated) - len(shorts)} of {len(stated)}"
        yield finding(Code.SHORT_MISSING, f"$.nodes[{place}].short", missing)
    if shorts and not 1 <= min(shorts) <= max(shorts) <= LAST_NODE_SHORT:
        wrong = sorted({short for short in shorts if not 1 <= short <= LAST_NODE_SHORT})
        place = stated.index(wrong[0])
        yield finding(Code.SHORT_RESERVED, f"$.nodes[{place}].short", _some(map(show_short, wrong)))
    if len(set(shorts)) < len(shorts):
        twice = _twice(shorts)
        place = _second(stated, twice[0])
        yield finding(Code.SHORT_TWICE, f"$.nodes[{place}].short", _some(map(show_short, twice)))


def parents(facts: SnapshotFacts) -> Iterator[Finding]:
    """A parent is the head or a listed router."""
    named = [node.parent for node in facts.nodes]
    others = set(named) - {None, facts.head_address}
    unknown = others - {node.extended_address for node in facts.nodes}
    deaf = others & {node.extended_address for node in facts.nodes if node.role is _END_DEVICE}
    for code, wrong in ((Code.PARENT_UNKNOWN, unknown), (Code.PARENT_CANNOT_ROUTE, deaf)):
        if wrong:
            place = next(place for place, parent in enumerate(named) if parent in wrong)
            yield finding(
                code,
                f"$.nodes[{place}].parent",
                _some(show_eui64(parent) for parent in sorted(filter(None, wrong))),
            )


def times(facts: SnapshotFacts) -> Iterator[Finding]:
    """A clock that was never set makes ages and counter advances wrong."""
    taken = facts.taken_at
    if taken is None:
        yield finding(Code.TIME_MISSING, "$.taken")
        return
    if taken < EARLIEST_TAKEN:
        yield finding(Code.TAKEN_BEFORE_2015, "$.taken", taken.isoformat())
    heard = [node.last_heard or taken for node in facts.nodes]
    latest = max(heard, default=taken)
    if latest - taken > HEARD_TOLERANCE:
        place = heard.index(latest)
        path = f"$.nodes[{place}].lastHeard"
        yield finding(Code.HEARD_AFTER_TAKEN, path, latest.isoformat(), limit=taken.isoformat())


CHECKS = (
    head_short,
    identity,
    pan_id,
    channel,
    network_key,
    security,
    counter,
    node_addresses,
    short_addresses,
    parents,
    times,
)


def _twice(values: Iterable[_Value]) -> list[_Value]:
    return [value for value, count in Counter(values).items() if count > 1]


def _second(values: Sequence[object], value: object) -> int:
    return values.index(value, values.index(value) + 1)


def _some(words: Iterable[str]) -> str:
    named = list(words)
    more = f" and {len(named) - _MOST_NAMED} more" if len(named) > _MOST_NAMED else ""
    return ", ".join(named[:_MOST_NAMED]) + more
