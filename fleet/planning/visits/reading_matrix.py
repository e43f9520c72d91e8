"""A file of minutes between places (CSV, RFC 4180, UTF-8): read whole, with every fault by line and column.

Columns: from, to, minutes, and if wanted hours. A line without hours says how long the way takes when the road is
free; one with hours, such as 07:00-09:00, how long it takes then, never less. The planner drives through the hours of
a day at a pace that is the same on all ways: it is worked out for each band of hours from all ways that have it, and
`departure` says which way is told wrongest by that.
"""

import csv
import io
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import time
from typing import TypeVar
from zoneinfo import ZoneInfo

from fleet.planning.visits.span import VisitError
from fleet.planning.visits.travel import Hours

COLUMNS = ("from", "to", "minutes")
HOURS = "hours"
LONGEST_MINUTES = 7 * 24 * 60
MOST_WAYS = 100_000
MOST_TOLD = 20
SLOWEST_PACE = 0.05
DAY_MINUTES = 24 * 60
BAND = re.compile(r"([01][0-9]|2[0-4]):([0-5][0-9])\s*[-\u2013]\s*([01][0-9]|2[0-4]):([0-5][0-9])")
LINE_END = re.compile(rb"\r\n|\r|\n")

Way = tuple[str, str]
Key = TypeVar("Key")


@dataclass(frozen=True, slots=True, order=True)
class Band:
    """Hours of each day, in minutes after midnight by the clock of the firm; the end is not part of it."""

    begin: int
    end: int

    def __str__(self) -> str:
        return f"{_clock(self.begin)}-{_clock(self.end)}"


@dataclass(frozen=True, slots=True)
class Fault:
    """What cannot be right, where, and what would be. column is empty for a whole line."""

    line: int
    column: str
    value: str
    right: str

    def __str__(self) -> str:
        where = f"Line {self.line}, {self.column}" if self.column else f"Line {self.line}"
        return f"{where}: {self.value!r}; right is {self.right}."


class MatrixError(VisitError):
    """Nothing of the file is taken; `faults` says why, in the order of its lines."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        told = " ".join(str(fault) for fault in faults[:MOST_TOLD])
        more = len(faults) - MOST_TOLD
        super().__init__(f"{told} And {more} more." if more > 0 else told)


@dataclass(frozen=True, slots=True)
class Matrix:
    """Minutes on a free road by way, and minutes by way in each band of hours."""

    pairs: Mapping[Way, float]
    bands: Mapping[Band, Mapping[Way, float]]

    def pace(self, band: Band) -> float:
        """1 is free; all ways of the band weigh by their minutes. It lies from SLOWEST_PACE to 1."""
        slow = self.bands[band]
        return _pace(sum(self.pairs[way] for way in slow), sum(slow.values()))

    def hours(self, zone: ZoneInfo) -> Hours:
        """The paces of a day by the clock of a zone."""
        paces = [(0, 1.0)]
        for band in sorted(self.bands):
            paces = [each for each in paces if each[0] != band.begin]
            paces += [(band.begin, self.pace(band))]
            paces += [(band.end, 1.0)] if band.end < DAY_MINUTES else []
        return Hours(zone, tuple((time(*divmod(minute, 60)), pace) for minute, pace in paces))

    def departure(self, band: Band) -> tuple[Way, float]:
        """The way whose minutes in the band are furthest above (or below) what the pace gives, and by how many."""
        pace = self.pace(band)
        off = {way: slow - self.pairs[way] / pace for way, slow in self.bands[band].items()}
        way = max(sorted(off), key=lambda each: abs(off[each]))
        return way, off[way]


def read_matrix(octets: bytes, known: Mapping[str, str] | None = None) -> Matrix:
    """The matrix in a file. known: codes as written by their casefolded form; None takes any code as it stands.

    Raises MatrixError with everything that is wrong.
    """
    rows = _rows(_text(octets))
    lines = _Lines(known)
    head = next(rows, None)
    wide = _width(head)
    taken = 0
    for number, cells in rows:
        if any(cells):
            taken += 1  # wrong ones count too, or a file of a million faults would be read to its end
            lines.take(number, cells, wide)
        if taken > MOST_WAYS:
            raise MatrixError([Fault(number, "", f"way {MOST_WAYS + 1}", f"at most {MOST_WAYS} ways")])
    faults = lines.faults or lines.against_each_other()
    if faults:
        raise MatrixError(sorted(faults, key=lambda fault: fault.line))
    if not lines.free:
        raise MatrixError([Fault(2, "", "", "at least one way, such as KELP-7,noor,25")])
    bands: dict[Band, dict[Way, float]] = {}
    for (way, band), (minutes, _) in lines.slow.items():
        bands.setdefault(band, {})[way] = minutes
    return Matrix({way: minutes for way, (minutes, _) in lines.free.items()}, bands)


def written(matrix: Matrix) -> str:
    """The same matrix as a file that `read_matrix` reads, whatever it was written like before."""
    out = io.StringIO(newline="")
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow([*COLUMNS, HOURS])
    rows.writerows([*way, f"{minutes!r}", ""] for way, minutes in matrix.pairs.items())
    for band, slow in matrix.bands.items():
        rows.writerows([*way, f"{minutes!r}", str(band)] for way, minutes in slow.items())
    return out.getvalue()


class _Lines:
    """What was read so far: minutes and line by way, and by way and band."""

    def __init__(self, known: Mapping[str, str] | None) -> None:
        self.known = known
        self.faults: list[Fault] = []
        self.free: dict[Way, tuple[float, int]] = {}
        self.slow: dict[tuple[Way, Band], tuple[float, int]] = {}

    def take(self, line: int, cells: list[str], wide: int) -> None:
        """One line, or what is wrong with it."""
        before = len(self.faults)
        if len(cells) != wide:
            self._amiss(line, "", ",".join(cells)[:80], f"{wide} columns")
            return
        way = (self._code(line, "from", cells[0]), self._code(line, "to", cells[1]))
        minutes = self._minutes(line, cells[2], way)
        band = self._band(line, cells[3]) if wide > len(COLUMNS) and cells[3] else None
        if len(self.faults) > before:
            return
        if band is None:
            self._keep(self.free, way, minutes, line, f"{way[0]} to {way[1]}")
        else:
            self._keep(self.slow, (way, band), minutes, line, f"{way[0]} to {way[1]} at {band}")

    def against_each_other(self) -> list[Fault]:
        """Faults between lines that are sound alone."""
        found = []
        bands: list[tuple[Band, int]] = []
        for (way, band), (minutes, line) in self.slow.items():
            free = self.free.get(way)
            if free is None:
                right = f"also a line without hours from {way[0]} to {way[1]}"
                found.append(Fault(line, HOURS, str(band), right))
            elif minutes < free[0]:
                right = f"at least {free[0]:g}, as on line {free[1]}: no hour is faster than a free road"
                found.append(Fault(line, "minutes", f"{minutes:g}", right))
            if all(band != other for other, _ in bands):
                bands.append((band, line))
        found += _overlaps(bands)
        return found or [
            Fault(
                line,
                HOURS,
                str(band),
                f"minutes that make the way at most {1 / SLOWEST_PACE:g} times as long",
            )
            for band, line in bands
            if self._too_slow(band)
        ]

    def _too_slow(self, band: Band) -> bool:
        ways = {way: minutes for (way, other), (minutes, _) in self.slow.items() if other == band}
        return _pace(sum(self.free[way][0] for way in ways), sum(ways.values())) < SLOWEST_PACE

    def _keep(
        self, held: dict[Key, tuple[float, int]], key: Key, minutes: float, line: int, words: str
    ) -> None:
        if key in held:
            self._amiss(line, "", words, f"each way once; it stands on line {held[key][1]}")
        else:
            held[key] = (minutes, line)

    def _code(self, line: int, column: str, text: str) -> str:
        found = text if self.known is None else self.known.get(text.casefold(), "")
        if not found:
            self._amiss(line, column, text, "the code of a home, or the user name of a person for their base")
        return found

    def _minutes(self, line: int, text: str, way: Way) -> float:
        try:
            minutes = float(text)
        except ValueError:
            minutes = math.nan
        if not 0 <= minutes <= LONGEST_MINUTES:
            self._amiss(line, "minutes", text, f"a number from 0 to {LONGEST_MINUTES}")
        elif way[0] == way[1] and minutes:
            self._amiss(line, "minutes", text, "0 from a place to itself")
        return minutes

    def _band(self, line: int, text: str) -> Band | None:
        found = BAND.fullmatch(text)
        numbers = [int(part) for part in found.groups()] if found else [0, 0, 0, 0]
        band = Band(numbers[0] * 60 + numbers[1], numbers[2] * 60 + numbers[3])
        if not band.begin < band.end <= DAY_MINUTES:
            self._amiss(line, HOURS, text, "hours of one day, such as 07:00-09:00")
            return None
        return band

    def _amiss(self, line: int, column: str, value: str, right: str) -> None:
        self.faults.append(Fault(line, column, value[:80], right))


def _text(octets: bytes) -> str:
    try:
        return octets.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = error.object[: error.start]
        line = len(LINE_END.findall(before)) + 1
        value = error.object[error.start : error.start + 1].hex().upper()
        raise MatrixError([Fault(line, "", f"octet {value}", "text in UTF-8")]) from None


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Lines of the file with their numbers, blanks around cells taken off."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise MatrixError([Fault(line, "", str(error), "CSV as RFC 4180 has it")]) from None
        if cells is None:
            return
        yield line, [cell.strip() for cell in cells]


def _width(head: tuple[int, list[str]] | None) -> int:
    names = [name.lower() for name in head[1]] if head else []
    if names not in (list(COLUMNS), [*COLUMNS, HOURS]):
        right = f"{','.join(COLUMNS)} or {','.join((*COLUMNS, HOURS))}"
        raise MatrixError([Fault(1, "", ",".join(names)[:80], right)])
    return len(names)


def _overlaps(bands: list[tuple[Band, int]]) -> list[Fault]:
    ordered = sorted(bands)
    return [
        Fault(line, HOURS, str(band), f"hours that do not overlap with {ordered[place][0]}")
        for place, (band, line) in enumerate(ordered[1:])
        if band.begin < ordered[place][0].end
    ]


def _pace(free: float, slow: float) -> float:
    return free / slow if slow else 1.0


def _clock(minute: int) -> str:
    return f"{minute // 60:02}:{minute % 60:02}"
