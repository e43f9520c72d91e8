"""Channel, channel mask and PAN ID among the single values."""

from collections.abc import Iterator

from fleet.mesh.channels import CHANNELS, MASK_2_4_GHZ
from fleet.snapshots.evidence.ranking import Hint
from fleet.snapshots.evidence.scene import FoundPlace, Scene
from fleet.snapshots.evidence.sights import COUNTER, SHORT, is_channels
from fleet.snapshots.evidence.survey import Place
from fleet.snapshots.guide_facts import Fact, Kind
from fleet.snapshots.notations import ReadingError
from fleet.snapshots.readings import TURNED, Reading, reader_for

_NO_PAN_ID = 0xFFFF
_MEGAHERTZ = range(2405, 2481, 5)
_IDENTITY = (Fact.EXTENDED_PAN_ID, Fact.HEAD_ADDRESS, Fact.NETWORK_KEY)


def mask_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """32 bits of which only those of channels 11 to 26 are set, two at least, or a list of such channels."""
    for place in scene.free:
        if is_channels(place.value):
            found = FoundPlace(place, Reading.CHANNEL_LIST)
            yield Hint(
                found, 0.8 + 0.1 * _near(scene, place), "a list of channels from 11 to 26", place.names
            )
            continue
        numbers = place.column.numbers(COUNTER)
        if numbers is not None and numbers.by_row[0] and not numbers.by_row[0] & ~MASK_2_4_GHZ:
            fills = isinstance(place.value, str) and len(place.value.strip().lower().removeprefix("0x")) == 8
            if fills or (numbers.by_row[0] > 0xFFFF and numbers.by_row[0].bit_count() > 1):
                score = 0.75 + 0.1 * _near(scene, place) + 0.1 * fills
                reason = "32 bits with none set but those of channels 11 to 26"
                yield Hint(FoundPlace(place, numbers.reading), score, reason, place.names)


def pan_id_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """16 bits, surest in hex; as a number the likelier the more it looks drawn by lot."""
    shorts = scene.nodes.main.short if scene.nodes is not None else None
    for place in scene.free:
        numbers = place.column.numbers(SHORT)
        if numbers is None:
            continue
        value, reading = numbers.by_row[0], numbers.reading
        if reading is Reading.HEX and _writes_decimal_text(scene) and isinstance(place.value, str):
            text = place.value.strip()
            value, reading = (int(text), Reading.NUMBER) if text.isdecimal() else (value, reading)
        if reading is Reading.OCTETS and shorts is not None and shorts.reading is Reading.OCTETS_TURNED:
            reading = TURNED[reading]
        score, reason = _pan_id_score(place, value, reading)
        if shorts is not None and shorts.reading in (reading, TURNED.get(reading)) and value > 0xFF:
            score += 0.05
        yield Hint(FoundPlace(place, reading), score + 0.25 * _near(scene, place), reason, place.names)


def _writes_decimal_text(scene: Scene) -> bool:
    """The document writes the nodes' short addresses, or else the long ones, as decimal numbers in quotes."""
    if scene.nodes is None:
        return False
    main = scene.nodes.main
    reading, column = main.nodes.numbers.reading, main.nodes.column
    if main.short is not None:
        reading, column = main.short.reading, main.short.column
    return reading is Reading.NUMBER and any(isinstance(value, str) for value in column.values.values())


def _pan_id_score(place: Place, value: int, reading: Reading) -> tuple[float, str]:
    if value in (0, _NO_PAN_ID):
        return 0.1, "16 bits that mean none"
    if reading is Reading.HEX and isinstance(place.value, str):
        is_whole = len(place.value.strip()) >= 4
        return (0.65, "16 bits in hex") if is_whole else (0.3, "at most 16 bits in hex")
    if reading in (Reading.OCTETS, Reading.OCTETS_TURNED):
        return 0.5, "two octets"
    if value in _MEGAHERTZ:
        return 0.2, "a number that is the centre of a channel in MHz"
    score = 0.55 if value > 0xFFF else 0.45 if value > 0xFF else 0.15
    if value > 0xFF and (value % 100 == 0 or value & (value - 1) == 0):
        return score - 0.15, "a round number of 16 bits"
    return score, "a number of 16 bits"


def channel_hints(scene: Scene) -> Iterator[Hint[FoundPlace]]:
    """11 to 26, in the mask where there is one; or the centre in MHz."""
    mask = _mask(scene)
    for place in scene.free:
        numbers = place.column.numbers(SHORT)
        if numbers is None or numbers.reading not in (Reading.NUMBER, Reading.HEX):
            continue
        value, reading = numbers.by_row[0], numbers.reading
        near = 0.25 * scene.near(place, *_IDENTITY, Fact.PAN_ID, Fact.CHANNEL_MASK)
        if reading is Reading.NUMBER and value in _MEGAHERTZ:
            yield Hint(
                FoundPlace(place, Reading.MEGAHERTZ),
                0.6 + near,
                "the centre of a channel in MHz",
                place.names,
            )
        for read_as, channel in ((reading, value), *_decimal(place, reading)):
            if channel in CHANNELS:
                score, reason = 0.5, "a number from 11 to 26"
                if mask is not None:
                    inside = mask >> channel & 1
                    score += (0.15 if mask != MASK_2_4_GHZ else 0.05) if inside else -0.25
                    reason += ", which the mask allows" if inside else ", which the mask does not allow"
                yield Hint(
                    FoundPlace(place, read_as),
                    score + near - 0.1 * (read_as is Reading.HEX),
                    reason,
                    place.names,
                )


def _decimal(place: Place, reading: Reading) -> Iterator[tuple[Reading, int]]:
    """Two digits of text are decimal too, whatever else they could be."""
    text = place.value.strip() if isinstance(place.value, str) else ""
    if reading is Reading.HEX and text.isdecimal():
        yield Reading.NUMBER, int(text)


def _mask(scene: Scene) -> int | None:
    ranked = scene.chosen.get(Fact.CHANNEL_MASK)
    if not ranked:
        return None
    try:
        return int(str(reader_for(Kind.MASK, ranked[0].found.reading).read(ranked[0].found.place.value)))
    except ReadingError:
        return None


def _near(scene: Scene, place: Place) -> float:
    return scene.near(place, *_IDENTITY)
