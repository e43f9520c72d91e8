"""The network key, its sequence number and its outgoing counter."""

from collections.abc import Iterator

from fleet.mesh.channels import MASK_2_4_GHZ
from fleet.mesh.counters import HALF_WAY
from fleet.snapshots.evidence.moments import moment
from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.scene import FoundPlace, Scene
from fleet.snapshots.evidence.sights import COUNTER, KEY, SHORT
from fleet.snapshots.evidence.survey import Place
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.readings import TURNED, Reading
from fleet.snapshots.weak_keys import is_public, unset_pattern, weak_pattern

_LARGE = 2**12
_OCTET = 255
_AS_GOOD = 0.05
_LESS_LIKELY = 0.2
_UNLIKELY = 0.25
_SERIAL_SPEEDS = frozenset(
    {9600, 19200, 38400, 57600, 115200, 230400, 460800, 500000, 921600, 1000000, 2000000}
)
_IN_USE = frozenset({"active", "current", "primary", "inuse", "used"})
_NOT_IN_USE = frozenset({"alternate", "previous", "old", "standby", "pending", "next", "inactive", "retired"})


def network_key_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """128 bits outside the lists of nodes, drawn by lot, with a counter beside them; of several the one in use."""
    for place in scene.free:
        numbers = place.column.numbers(KEY)
        if numbers is None:
            continue
        score, reason = _strength(numbers.by_row[0].to_bytes(KEY, "big"))
        if any(_is_counter_like(other) for other in scene.beside(place)):
            score, reason = score + 0.15, f"{reason}, with a counter beside them"
        in_use = _in_use(scene.beside(place))
        if in_use:
            score, reason = (
                score + 0.12 * in_use,
                f"{reason}, {'marked' if in_use > 0 else 'not marked'} as in use",
            )
        score += 0.1 * scene.near(place, Fact.EXTENDED_PAN_ID, Fact.HEAD_ADDRESS)
        yield Hint(FoundPlace(place, numbers.reading), score, reason, place.names)


def _strength(key: bytes) -> tuple[float, str]:
    if unset_pattern(key):
        return 0.2, "128 bits that are a placeholder"
    if is_public(key):
        return 0.2, "the public default link key, which is no network key"
    if weak_pattern(key):
        return 0.5, "128 bits outside the lists of nodes that do not look drawn by lot"
    return 0.6, "128 bits outside the lists of nodes that look drawn by lot"


def _is_counter_like(place: Place) -> bool:
    numbers = place.column.numbers(COUNTER)
    return numbers is not None and numbers.by_row[0] >= _LARGE and moment(place.value) is None


def _in_use(beside: list[Place]) -> int:
    """1 where a true or a word says so, -1 where it says the opposite, 0 where nothing is said."""
    for place in beside:
        word = place.value.strip().casefold() if isinstance(place.value, str) else place.value
        if word is True or (isinstance(word, str) and word in _IN_USE):
            return 1
        if word is False or (isinstance(word, str) and word in _NOT_IN_USE):
            return -1
    return 0


def sequence_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """An octet near the network key."""
    for place in scene.free:
        numbers = place.column.numbers(SHORT)
        if numbers is not None and numbers.by_row[0] <= _OCTET and _is_whole(place):
            score = 0.3 + 0.4 * scene.near(place, Fact.NETWORK_KEY)
            reason = "a number from 0 to 255 near the network key"
            yield Hint(FoundPlace(place, numbers.reading), score, reason, place.names)


def _is_whole(place: Place) -> bool:
    return not isinstance(place.value, list | dict)


def counter_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """A large number of 32 bits near the network key, no time, no size, no serial speed, either way round."""
    for place in scene.free:
        near = scene.near(place, Fact.NETWORK_KEY)
        for reading, value, less in _ways_round(place, scene.addresses_turned):
            score, reason = _counter_score(place, value)
            if near == 1:
                reason += " beside the network key"
            yield Hint(FoundPlace(place, reading), score - less + 0.3 * near, reason, place.names)


def _ways_round(place: Place, addresses_turned: bool) -> Iterator[tuple[Reading, int, float]]:
    """Each way to read a counter here, and how much less likely than others it is.

    A counter is rarely past half of its space, and most are far below; its size and the order of the addresses
    tell which way its octets stand.
    """
    numbers = place.column.numbers(COUNTER)
    if numbers is None:
        return
    straight = numbers.by_row[0]
    text = place.value.strip() if isinstance(place.value, str) else ""
    digits = text.lower().removeprefix("0x")
    fills = isinstance(place.value, list) or len(digits) == 2 * COUNTER
    if not fills or numbers.reading not in (*TURNED, Reading.NUMBER):
        yield numbers.reading, straight, 0.0
        return
    if numbers.reading is Reading.NUMBER:
        # Eight digits without a letter: most likely decimal, but a tenth of a point is all that tells.
        in_hex = int(digits, 16) if digits.isdecimal() else straight
        turned = _turned(in_hex)
        is_smaller = digits.isdecimal() and _is_smaller(turned, in_hex)
        is_turned = is_smaller and addresses_turned
        yield Reading.NUMBER, straight, _AS_GOOD if is_turned else 0.0
        if digits.isdecimal():
            yield Reading.HEX, in_hex, _UNLIKELY
            yield Reading.HEX_TURNED, turned, 0.0 if is_turned else _AS_GOOD if is_smaller else _UNLIKELY
        return
    turned = _turned(straight)
    is_smaller = _is_smaller(turned, straight)
    if turned < HALF_WAY <= straight or (is_smaller and addresses_turned):
        yield numbers.reading, straight, _LESS_LIKELY
        yield TURNED[numbers.reading], turned, 0.0
    else:
        yield numbers.reading, straight, 0.0
        yield TURNED[numbers.reading], turned, _AS_GOOD if is_smaller or addresses_turned else _LESS_LIKELY


def _is_smaller(value: int, other: int) -> bool:
    """One leaves the uppermost of its four octets empty, the other does not."""
    return value >> 24 == 0 < other >> 24


def _turned(value: int) -> int:
    return int.from_bytes(value.to_bytes(COUNTER, "big"), "little")


def _counter_score(place: Place, value: int) -> tuple[float, str]:
    score = 0.55 if value >= 2**16 else 0.45 if value >= _LARGE else 0.35 if value > _OCTET else 0.25
    if value in _SERIAL_SPEEDS:
        return 0.1, "a usual speed of a serial line"
    if value and not value & ~MASK_2_4_GHZ:
        return score - 0.25, "a number of 32 bits that could be a channel mask"
    if moment(place.value) is not None:
        return score - 0.3, "a number of 32 bits that could be a time"
    if _is_date(value):
        return score - 0.2, "a number that could be a date"
    if value and (value % 1000 == 0 or value & (value - 1) == 0):
        return score - 0.15, "a round number of 32 bits"
    if value == 2**32 - 1:
        return score - 0.3, "32 bits, all set"
    if isinstance(place.value, str) and len(place.value.strip()) >= 6:
        score += 0.05
    return score, "a large number of 32 bits" if value >= 2**16 else "a number of 32 bits"


def _is_date(value: int) -> bool:
    """20261125 is more likely a day than a counter."""
    year, month, day = value // 10_000, value // 100 % 100, value % 100
    return 2000 <= year < 2060 and 1 <= month <= 12 and 1 <= day <= 31


def seed_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """A further 128-bit value whose name says so: nothing in it tells what it is for."""
    for place in scene.free:
        numbers = place.column.numbers(KEY)
        if numbers is not None and name_score(Fact.LINK_KEY_SEED, place.names) > 0:
            key = numbers.by_row[0].to_bytes(KEY, "big")
            if not unset_pattern(key):
                reason = "128 bits that are not the network key, and the name says so"
                yield Hint(FoundPlace(place, numbers.reading), 0.5, reason, place.names)


def counter_copies(scene: Scene) -> Iterator[FoundPlace]:
    """Further places with the same large number as the outgoing counter."""
    chosen = scene.chosen.get(Fact.OUTGOING_COUNTER)
    if not chosen:
        return
    numbers = chosen[0].found.place.column.numbers(COUNTER)
    if numbers is None or numbers.by_row[0] < 2**16:
        return
    for place in scene.free:
        other = place.column.numbers(COUNTER)
        if other is not None and other.by_row == numbers.by_row:
            is_turned = chosen[0].found.reading in TURNED.values()
            yield FoundPlace(place, TURNED.get(other.reading, other.reading) if is_turned else other.reading)
