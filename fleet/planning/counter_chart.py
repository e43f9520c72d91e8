"""The counter ledger as a picture: where each line stands, the course between them, and the axes.

Units are those of the picture's own grid, x to the right and y downwards. Nothing here draws.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.mesh.counter_ledger import is_believed
from fleet.mesh.counters import HALF_WAY, SEEN, SPACE_END, Evidence
from fleet.planning.counter_course import Break, Turn
from fleet.planning.scales import Scale, TimeTick, scale_for, time_ticks

WIDTH, HEIGHT = 420, 300
LEFT, RIGHT, TOP, BOTTOM = 92, 408, 28, 268
BAR_LEFT, BAR_RIGHT = 2, 418
COLUMN = 1.5
"""Dots that stand closer than this cannot be told apart, and years of them would weigh down the page."""

_Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Dot:
    """One line of the ledger. kind is that of the evidence, or "held" for a copy that does not count."""

    x: float
    y: float
    kind: str
    turn: Turn | None = None


@dataclass(frozen=True, slots=True)
class ValueTick:
    """A round value on the value axis."""

    y: float
    value: int


@dataclass(frozen=True, slots=True)
class PlacedTime:
    """A midnight on the time axis."""

    x: float
    tick: TimeTick


@dataclass(frozen=True, slots=True)
class CounterChart:
    """Everything to draw. courses: the corners of each unbroken stretch. half, end: None where out of the picture."""

    dots: tuple[Dot, ...]
    courses: tuple[tuple[_Spot, ...], ...]
    values: tuple[ValueTick, ...]
    times: tuple[PlacedTime, ...]
    write: float
    half: float | None
    end: float | None
    logarithmic: bool


@dataclass(frozen=True, slots=True)
class SpaceBar:
    """How much of the whole space of counters is used, on a bar from 0 to 2^32: a width, and the x of each mark."""

    used: float
    write: float
    half: float


def chart_of(
    evidence: Sequence[Evidence],
    held: Sequence[Evidence],
    breaks: Iterable[Break],
    start: int,
    now: datetime,
    zone: ZoneInfo,
) -> CounterChart:
    """The picture of these lines, at least one, with the number to write at the right edge, which is now.

    held: copies that do not count; those above the number to write do not stretch the scale, they stand at
    its edge. So does a line that is dated after now, or by a clock that cannot have been right.
    """
    lines = sorted(evidence, key=lambda line: line.at)
    first = min((line.at for line in (*lines, *held) if is_believed(line)), default=now)
    scale = scale_for([*(line.value for line in (*lines, *held) if line.value <= start), start])
    place = _Place(scale, first, now)
    turns = {found.line: found.turn for found in breaks}
    spots = [place.of(line) for line in lines]
    dots = [Dot(*spot, line.kind.value, turns.get(line)) for line, spot in zip(lines, spots, strict=True)]
    dots += [Dot(*place.of(line), "held") for line in held]
    return CounterChart(
        dots=tuple(_thinned(dots)),
        courses=tuple(_courses(zip(lines, spots, strict=True))),
        values=tuple(ValueTick(place.y(value), value) for value in scale.ticks),
        times=tuple(PlacedTime(place.x(tick.at), tick) for tick in time_ticks(first, now, zone)),
        write=place.y(start),
        half=place.y(HALF_WAY) if scale.low < HALF_WAY < scale.high else None,
        end=place.y(SPACE_END) if scale.low < SPACE_END <= scale.high else None,
        logarithmic=scale.logarithmic,
    )


def space_bar(standing: int, start: int) -> SpaceBar:
    """Where the counter stands, and the number to write, within the whole space."""
    return SpaceBar(round(_along(standing) - BAR_LEFT, 1), _along(start), _along(HALF_WAY))


def _along(value: int) -> float:
    return round(BAR_LEFT + min(value, SPACE_END) / SPACE_END * (BAR_RIGHT - BAR_LEFT), 1)


@dataclass(frozen=True, slots=True)
class _Place:
    """From values and moments to the grid, to a tenth of a unit."""

    scale: Scale
    first: datetime
    last: datetime

    def x(self, at: datetime) -> float:
        span = (self.last - self.first).total_seconds() or 1.0
        share = min(max((at - self.first).total_seconds() / span, 0.0), 1.0)
        return round(LEFT + share * (RIGHT - LEFT), 1)

    def y(self, value: int) -> float:
        return round(BOTTOM - self.scale.share(value) * (BOTTOM - TOP), 1)

    def of(self, line: Evidence) -> _Spot:
        return self.x(line.at), self.y(line.value)


def _courses(lines: Iterable[tuple[Evidence, _Spot]]) -> Iterator[tuple[_Spot, ...]]:
    """Sightings joined as long as they rise; a fall or a number given out begins a new stretch."""
    course: list[_Spot] = []
    last = -1
    for line, spot in lines:
        if line.kind not in SEEN or line.value < last:
            yield from _drawable(course)
            course = []
        if line.kind in SEEN:
            course.append(spot)
            last = line.value
    yield from _drawable(course)


def _drawable(course: Sequence[_Spot]) -> Iterator[tuple[_Spot, ...]]:
    """Without corners that stand closer than anybody could see."""
    kept: list[_Spot] = []
    for x, y in course:
        if not kept or x - kept[-1][0] >= COLUMN or abs(y - kept[-1][1]) >= COLUMN:
            kept.append((x, y))
    if course and kept[-1] != course[-1]:
        kept.append(course[-1])
    if len(kept) > 1:
        yield tuple(kept)


def _thinned(dots: Sequence[Dot]) -> Iterator[Dot]:
    """Each dot but those that would cover another of their kind; a break of the course always stays."""
    taken: set[tuple[str, int, int]] = set()
    for dot in dots:
        spot = (dot.kind, round(dot.x / COLUMN), round(dot.y / COLUMN))
        if dot.turn is None and spot in taken:
            continue
        taken.add(spot)
        yield dot
