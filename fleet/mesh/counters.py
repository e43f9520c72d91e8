"""Outgoing frame counters: how fast they rise, which number a restored radio must start from, when they end.

A receiver drops a frame whose counter is not above the last one it accepted from that sender and key, so a
radio that takes over an identity must start above every value ever used (Zigbee specification, NWK security;
recalled). All evidence given here belongs to one key, key sequence and sending address: nothing in it can
tell. The same arithmetic serves the counters of link keys.

Counters run from 0 to 4,294,967,294; rates are frames per second. Sums are exact integers: a rate is taken
as the decimal that it prints as, and times to the microsecond.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from math import isfinite

SPACE_END = 0xFFFF_FFFF
"""The first value that cannot be used (Zigbee specification; recalled)."""
HALF_WAY = 1 << 31

# Common practice, no source.
UNKNOWN_RATE = 50.0
SAFETY = 2
MARGIN = 65_536
"""Covers radios that store their counter only in steps."""
SLOPES_NEEDED = 3
TIME_NEEDED = timedelta(days=1)
"""A rate is known from three slopes over a day in all: less may have seen only the quiet hours."""
CLOCK_TOLERANCE = timedelta(minutes=5)

QUIETEST_RATE = 1 / 15
"""A head radio sends its link status every 15 s, so no upper rate lies below this (Zigbee; recalled)."""
EARLIEST = datetime(2005, 1, 1, tzinfo=UTC)
"""No evidence is older: the first Zigbee specification is of December 2004 (recalled)."""

_NO_TIME = timedelta(0)
_MICROSECOND = timedelta(microseconds=1)
_MICROSECONDS = 1_000_000
_SECONDS_A_DAY = 86_400
_DAYS_A_YEAR = 365.25


class CounterError(ValueError):
    """A counter, rate or time that cannot be right; the message says what would be."""


class EvidenceKind(StrEnum):
    """What tells that a counter value was, or may have been, used."""

    SNAPSHOT = "snapshot"
    CAPTURE = "capture"
    RESTORE = "restore"
    DRILL = "drill"


SEEN = frozenset({EvidenceKind.SNAPSHOT, EvidenceKind.CAPTURE})
"""Kinds that saw a running counter; the others gave a number out."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One line of the ledger: this counter value, at this time.

    A restore's value is the number given out, a drill's the last of its range. landed_at is when the book
    got it, by the book's own clock; with it, a time from a clock that runs ahead can be told.
    """

    value: int
    at: datetime
    kind: EvidenceKind = EvidenceKind.SNAPSHOT
    landed_at: datetime | None = None

    def __post_init__(self) -> None:
        if isinstance(self.value, bool) or not 0 <= self.value < SPACE_END:
            shown = str(self.value) if self.value.bit_length() <= 128 else "of more than 38 digits"
            raise CounterError(f"counter {shown}: right is 0 to {SPACE_END - 1:,}")
        # Two times of one zone subtract as wall clocks, an hour wrong across a clock change: hence UTC.
        object.__setattr__(self, "at", _in_utc(self.at))
        if self.landed_at is not None:
            object.__setattr__(self, "landed_at", _in_utc(self.landed_at))


class Verdict(StrEnum):
    """May the number be written?"""

    OK = "ok"
    WARN = "warn"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True)
class StartValue:
    """The number to write, how it came about, and whether it may be written.

    basis is the evidence that decides; frames is what was added for its age, already doubled. With REFUSE
    the value only shows how far it would go.
    """

    value: int
    verdict: Verdict
    because: tuple[str, ...]
    basis: Evidence
    frames: int

    def writable(self) -> int:
        """The value, or CounterError where it must not be written."""
        if self.verdict is Verdict.REFUSE:
            raise CounterError(
                f"counter {self.value:,}: right is below {SPACE_END:,}; change the network key"
            )
        return self.value


@dataclass(frozen=True, slots=True)
class Exhaustion:
    """Years until half of the space and all of it are used; 0.0 when past, None when never."""

    years_to_half: float | None
    years_to_end: float | None


@dataclass(frozen=True, slots=True)
class ExhaustionRange:
    """Earliest (at the upper rate) and latest (at the lower rate) dates; None: never, or past year 9999."""

    half_earliest: date | None
    half_latest: date | None
    end_earliest: date | None
    end_latest: date | None


class WayBack(StrEnum):
    """Whether the old radio can take its mesh back: as it stands, once written, or only after being deaf."""

    READY = "ready"
    WRITE = "write"
    DEAF = "deaf"


@dataclass(frozen=True, slots=True)
class BackOut:
    """Can the old radio be put back, from which number, or for how many days would nobody listen to it.

    days_deaf is 0.0 unless way is DEAF; None there means without a known end.
    """

    way: WayBack
    start: StartValue
    days_deaf: float | None


def rate_upper(evidence: Iterable[Evidence]) -> float | None:
    """95th percentile of the observed slopes, in frames per second; None when too little was observed.

    Slopes are taken between successive sightings. Falls, time steps that are not above zero, doubtful clocks
    and steps across a number that was given out do not count. The percentile is the nearest rank, the slope
    at place ceil(0.95 n) from below, never a mean, and never below QUIETEST_RATE.
    """
    found = _percentile(evidence, 95)
    return None if found is None else max(found, QUIETEST_RATE)


def rate_lower(evidence: Iterable[Evidence]) -> float | None:
    """5th percentile of the same slopes, the one at place ceil(0.05 n) from below."""
    return _percentile(evidence, 5)


def frames_in(duration: timedelta, rate: float, times: int = 1) -> int:
    """Frames sent in a duration at so many times a rate, rounded up; none for a duration below zero."""
    if not isfinite(rate) or rate < 0:
        raise CounterError(f"rate {rate}: right is a number of frames per second, 0 or more")
    exact = Fraction(str(rate)) * times
    microseconds = max(0, duration // _MICROSECOND)
    return -(-exact.numerator * microseconds // (exact.denominator * _MICROSECONDS))


def added_per_day(rate_upper: float | None) -> int:
    """By how much the number to write grows with each day of waiting."""
    return frames_in(timedelta(days=1), UNKNOWN_RATE if rate_upper is None else rate_upper, SAFETY)


def number_to_write(
    evidence: Iterable[Evidence],
    now: datetime,
    rate_upper: float | None,
    *,
    not_before: datetime | None = None,
    safety: int = SAFETY,
    margin: int = MARGIN,
) -> StartValue:
    """The counter a radio must start from: max over evidence of value + ceil(safety * rate * age), + margin.

    evidence: everything in the ledger for this key and address. A number given out must be in it before the
    next one is asked for; then the next is always higher. rate_upper None: 50/s is taken, and doubled too.
    not_before: no evidence can be older, such as the day the mesh was formed or its key changed; a day on
    which the book merely saw the key first would be too late.

    Doubtful clocks count on the safe side. now is never before a landing. A time more than five minutes
    after its landing (or after now), or before not_before (else 2005), is not believed: that evidence counts
    from the latest of not_before and the believed evidence whose value is not above its own. Where neither
    exists it counts from its landing, with a warning; without a landing the number is refused.

    Refused from 4,294,967,295; a warning from 2,147,483,648: change the network key first.
    Raises CounterError without evidence, or for a rate that cannot be.
    """
    if safety < 1 or margin < 1:
        raise CounterError(f"safety {safety}, margin {margin}: right are whole numbers from 1")
    rate = UNKNOWN_RATE if rate_upper is None else rate_upper
    aged = _aged(evidence, now, not_before)
    reaches = [(e.evidence.value + frames_in(e.age, rate, safety), e) for e in aged]
    reach, basis = max(reaches, key=lambda pair: pair[0])
    value = reach + margin
    because = [
        _sentence(basis.evidence),
        f"{basis.age / timedelta(days=1):.1f} days at {rate:g}/s, times {safety}: "
        f"{reach - basis.evidence.value:,} frames",
        f"margin {margin:,}",
        *(["the rate is not known: 50/s is taken"] if rate_upper is None else []),
        *(e.doubt for e in aged if e.doubt),
    ]
    verdict = max((e.verdict for e in aged), key=_SEVERITY.index)
    if value >= SPACE_END:
        verdict = Verdict.REFUSE
        because.append(f"{value:,} is past the last usable counter: change the network key")
    elif value >= HALF_WAY:
        verdict = max(verdict, Verdict.WARN, key=_SEVERITY.index)
        because.append("more than half of the counters would be used: change the network key first")
    return StartValue(value, verdict, tuple(because), basis.evidence, reach - basis.evidence.value)


def highest_use(
    evidence: Iterable[Evidence],
    now: datetime,
    rate: float | None,
    *,
    not_before: datetime | None = None,
) -> int:
    """Where the counter stands by now at this rate (None: 50/s), without doubling or margin."""
    per_second = UNKNOWN_RATE if rate is None else rate
    aged = _aged(evidence, now, not_before)
    return max(e.evidence.value + frames_in(e.age, per_second) for e in aged)


def exhaustion(start: int, rate: float) -> Exhaustion:
    """Years of 365.25 days from a start value to half-way (2^31) and to the end (2^32 - 1) at this rate."""
    return Exhaustion(
        years_to_half=_years(HALF_WAY - start, rate),
        years_to_end=_years(SPACE_END - start, rate),
    )


def exhaustion_range(start: int, now: datetime, rate_lower: float, rate_upper: float) -> ExhaustionRange:
    """Dates of half-way and end, from the upper rate (earliest) to the lower rate (latest)."""
    early, late = exhaustion(start, rate_upper), exhaustion(start, rate_lower)
    return ExhaustionRange(
        half_earliest=_date_after(now, early.years_to_half),
        half_latest=_date_after(now, late.years_to_half),
        end_earliest=_date_after(now, early.years_to_end),
        end_latest=_date_after(now, late.years_to_end),
    )


def days_spent(start: int, standing: int, rate: float) -> float | None:
    """Days by which writing start, where the counter stands at standing, brings the end nearer."""
    return _days(start - standing, rate)


def back_out(
    evidence: Iterable[Evidence],
    now: datetime,
    *,
    rate_upper: float | None,
    rate_lower: float | None,
    old_counter: int | None,
    can_be_written: bool,
    not_before: datetime | None = None,
) -> BackOut:
    """Whether the old radio can be put back at now: the same sum, with the new radio's number in evidence.

    old_counter: where the old radio stands, None when unknown. Deaf days: from there to the highest number
    the new radio may have used, at the lower rate, as the old radio catches up only by sending.
    """
    ledger = tuple(evidence)
    start = number_to_write(ledger, now, rate_upper, not_before=not_before)
    if old_counter is not None and old_counter >= start.value:
        return BackOut(WayBack.READY, start, 0.0)
    if can_be_written and start.verdict is not Verdict.REFUSE:
        return BackOut(WayBack.WRITE, start, 0.0)
    if old_counter is None or rate_lower is None:
        return BackOut(WayBack.DEAF, start, None)
    behind = highest_use(ledger, now, rate_upper, not_before=not_before) - old_counter
    return BackOut(WayBack.DEAF, start, _days(behind, rate_lower))


_SEVERITY = (Verdict.OK, Verdict.WARN, Verdict.REFUSE)


@dataclass(frozen=True, slots=True)
class _Aged:
    """Evidence with the age it counts for, and why where that is not the age it claims."""

    evidence: Evidence
    age: timedelta
    verdict: Verdict = Verdict.OK
    doubt: str = ""


def _aged(evidence: Iterable[Evidence], now: datetime, not_before: datetime | None) -> list[_Aged]:
    ledger = tuple(evidence)
    if not ledger:
        raise CounterError("counter ledger: empty; right is at least one snapshot under this key")
    present = max([_in_utc(now), *(e.landed_at for e in ledger if e.landed_at)])
    floor = _in_utc(not_before or EARLIEST)
    if floor > present:
        raise CounterError(f"not before {_utc(floor)}: right is a time that is past")
    doubtful = [_is_doubtful(e, present, floor) for e in ledger]
    believed = [e for e, doubt in zip(ledger, doubtful, strict=True) if not doubt]
    return [
        _aged_in_doubt(e, believed, present, not_before and floor)
        if doubt
        else _Aged(e, max(present - e.at, _NO_TIME))
        for e, doubt in zip(ledger, doubtful, strict=True)
    ]


def _is_doubtful(evidence: Evidence, present: datetime, floor: datetime) -> bool:
    return evidence.at > (evidence.landed_at or present) + CLOCK_TOLERANCE or evidence.at < floor


def _aged_in_doubt(
    evidence: Evidence, believed: list[Evidence], present: datetime, not_before: datetime | None
) -> _Aged:
    lower = [e.at for e in believed if e.value <= evidence.value]
    floors = [*lower, *([not_before] if not_before else [])]
    doubt = f"{_sentence(evidence)}: a clock was wrong"
    if floors:
        start = max(floors)
        return _Aged(evidence, present - start, Verdict.OK, f"{doubt}, counted from {_utc(start)}")
    if evidence.landed_at is not None:
        doubt = f"{doubt}, counted from its landing; the number may be too low if it landed late"
        return _Aged(evidence, present - evidence.landed_at, Verdict.WARN, doubt)
    return _Aged(evidence, _NO_TIME, Verdict.REFUSE, f"{doubt}, so that its age is not known")


def _percentile(evidence: Iterable[Evidence], percent: int) -> float | None:
    slopes: list[float] = []
    observed = _NO_TIME
    last: Evidence | None = None
    for e in sorted(evidence, key=lambda e: e.at):
        if _is_doubtful(e, e.at, EARLIEST):
            continue
        if last is not None and e.kind in SEEN and e.at > last.at and e.value >= last.value:
            slopes.append((e.value - last.value) * _MICROSECONDS / ((e.at - last.at) // _MICROSECOND))
            observed += e.at - last.at
        last = e if e.kind in SEEN else None
    if len(slopes) < SLOPES_NEEDED or observed < TIME_NEEDED:
        return None
    return sorted(slopes)[-(-percent * len(slopes) // 100) - 1]


def _days(frames: int, rate: float) -> float | None:
    """Days that a radio needs for so many frames; 0.0 for none or less, None at rate zero."""
    if not isfinite(rate) or rate < 0:
        raise CounterError(f"rate {rate}: right is a number of frames per second, 0 or more")
    if frames <= 0:
        return 0.0
    return frames / rate / _SECONDS_A_DAY if rate else None


def _years(frames: int, rate: float) -> float | None:
    days = _days(frames, rate)
    return None if days is None else days / _DAYS_A_YEAR


def _date_after(now: datetime, years: float | None) -> date | None:
    try:
        return None if years is None else (now + timedelta(days=years * _DAYS_A_YEAR)).date()
    except OverflowError:
        return None


def _sentence(evidence: Evidence) -> str:
    word = "shows" if evidence.kind in SEEN else "was given"
    return f"{evidence.kind} of {_utc(evidence.at)} {word} {evidence.value:,}"


def _utc(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"


def _in_utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise CounterError(f"time {moment}: right is a time with its zone")
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        raise CounterError(f"time {moment}: right is a time within the years 1 to 9999") from None
