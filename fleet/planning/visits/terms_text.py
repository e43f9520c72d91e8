"""What people type about a visit, read: windows on the home's clock, words, and counts by family."""

import re
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

WINDOW = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{1,2}:\d{2})\s*(?:-|to)\s*(\d{1,2}:\d{2})", re.ASCII)
WORD = re.compile(r"[a-z][a-z0-9-]{0,39}", re.ASCII)
COUNT = re.compile(r"([A-Za-z0-9][A-Za-z0-9.-]{0,19})=(\d{1,2})", re.ASCII)
RIGHT = "2027-03-30 09:00-12:00"
FIRST_YEAR, LAST_YEAR = 2000, 2100
"""A slip of the keys lies outside, and so do days that no zone can reckon with."""


class TermsError(ValueError):
    """Something that was typed cannot be read; the sentence says what, and what would be right."""


def read_windows(text: str, zone: ZoneInfo) -> tuple[tuple[datetime, datetime], ...]:
    """A window a line, such as 2027-03-30 09:00-12:00, on the clock of the zone; empty lines count for nothing.

    A time that the clock leaves out or shows twice is none to agree on. Raises TermsError with the line.
    """
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        read = WINDOW.fullmatch(line.strip())
        where = f"Line {number}, “{line.strip()[:60]}”"
        if read is None:
            raise TermsError(f"{where}, cannot be read; write it as {RIGHT}.")
        day, begins, ends = read.groups()
        begin, end = _moment(day, begins, zone, where), _moment(day, ends, zone, where)
        if end <= begin:
            raise TermsError(f"{where}, ends before it begins; write it as {RIGHT}.")
        found.append((begin, end))
    return tuple(found)


def write_windows(windows: Iterable[tuple[datetime, datetime]], zone: ZoneInfo) -> str:
    """The same lines again."""
    local = ((begin.astimezone(zone), end.astimezone(zone)) for begin, end in windows)
    return "\n".join(f"{begin:%Y-%m-%d %H:%M}-{end:%H:%M}" for begin, end in local)


def read_words(text: str) -> tuple[str, ...]:
    """Words of small letters, digits and dashes with blanks or commas between them. Raises TermsError."""
    words = text.replace(",", " ").split()
    for word in words:
        if WORD.fullmatch(word) is None:
            raise TermsError(
                f"“{word[:40]}” is no such word; write small letters, digits and dashes, such as mains."
            )
    return tuple(dict.fromkeys(words))


def read_counts(text: str) -> dict[str, int]:
    """Counts by family, such as P=1 Q=2. Raises TermsError."""
    found: dict[str, int] = {}
    for each in text.replace(",", " ").split():
        read = COUNT.fullmatch(each)
        if read is None or int(read[2]) < 1:
            raise TermsError(f"“{each[:40]}” cannot be read; write a family and how many, such as P=1.")
        if read[1] in found:
            raise TermsError(f"The family {read[1]} is there twice; write it once.")
        found[read[1]] = int(read[2])
    return found


def _moment(day: str, clock: str, zone: ZoneInfo, where: str) -> datetime:
    try:
        moment = datetime.strptime(f"{day} {clock}", "%Y-%m-%d %H:%M").replace(tzinfo=zone)
    except ValueError:
        raise TermsError(f"{where}, holds no day or time that there is; write it as {RIGHT}.") from None
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise TermsError(f"{where}: write a year from {FIRST_YEAR} to {LAST_YEAR}.")
    if moment.utcoffset() != moment.replace(fold=1).utcoffset():
        raise TermsError(f"{where}: the clock is changed in that hour; choose a time before or after it.")
    return moment
