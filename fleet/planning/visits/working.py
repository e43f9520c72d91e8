"""When somebody works: the stretches of a week laid over days of the calendar, clock changes and days off counted."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.planning.visits.span import Span, VisitError

DAY = timedelta(days=1)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
HOURS = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])\s*[-\u2013]\s*([01]?[0-9]|2[0-3])[:.]([0-5][0-9])")


@dataclass(frozen=True, slots=True)
class Weekly:
    """A stretch of work that comes every week; weekday as date.weekday() counts, 0 is Monday. Never over midnight."""

    weekday: int
    begins: time
    ends: time

    def __post_init__(self) -> None:
        if not 0 <= self.weekday <= 6:
            raise VisitError(f"The weekday is {self.weekday}; it must be 0 (Monday) to 6 (Sunday).")
        if self.ends <= self.begins:
            raise VisitError(
                f"{WEEKDAYS[self.weekday]}: work ends at {self.ends:%H:%M}; it must end after it begins at "
                f"{self.begins:%H:%M}, on the same day."
            )

    @property
    def hours(self) -> str:
        """As people write it: 07:30-16:30."""
        return f"{self.begins:%H:%M}-{self.ends:%H:%M}"


def read_day(weekday: int, text: str) -> list[Weekly]:
    """The stretches of one weekday as people type them: "08:00-12:00, 14:00-18:00"; nothing means no work.

    Raises VisitError that names the day and the part that cannot be read.
    """
    found = []
    for part in (part.strip() for part in re.split("[,;]", text)):
        match = HOURS.fullmatch(part)
        if part and match is None:
            raise VisitError(
                f"{WEEKDAYS[weekday]}: {part!r}; right is a time to a time, such as 08:00-16:30."
            )
        if match is not None:
            begin, begin_minute, end, end_minute = map(int, match.groups())
            found.append(Weekly(weekday, time(begin, begin_minute), time(end, end_minute)))
    if pair := overlapping(found):
        raise VisitError(f"{WEEKDAYS[weekday]}: {pair[0].hours} and {pair[1].hours} overlap.")
    return found


def overlapping(week: Iterable[Weekly]) -> tuple[Weekly, Weekly] | None:
    """The first two stretches of one weekday that share a minute, or None; to end when another begins is no overlap."""
    ordered = sorted(week, key=lambda each: (each.weekday, each.begins, each.ends))
    for place in range(1, len(ordered)):
        one, other = ordered[place - 1], ordered[place]
        if one.weekday == other.weekday and other.begins < one.ends:
            return one, other
    return None


def stretches(
    week: Iterable[Weekly], off: Iterable[tuple[date, date]], first: date, last: date, zone: ZoneInfo
) -> tuple[Span, ...]:
    """The stretches of work from first to last, both included, by the clock of the zone, in order.

    off are days without work, first and last included. Where clocks are set forward, a time that no clock shows counts
    by the offset before, and one that is shown twice is the first of the two (RFC 5545, section 3.3.5); a stretch that
    vanishes with that is left out.
    """
    free = list(off)
    by_day: dict[int, list[Weekly]] = {}
    for each in sorted(week, key=lambda each: (each.weekday, each.begins)):
        by_day.setdefault(each.weekday, []).append(each)
    found = []
    for number in range((last - first).days + 1):
        day = first + number * DAY
        if any(since <= day <= until for since, until in free):
            continue
        for each in by_day.get(day.weekday(), []):
            begin = datetime.combine(day, each.begins, zone)
            end = datetime.combine(day, each.ends, zone)
            if end.timestamp() > begin.timestamp():
                found.append(Span(begin, end))
    return tuple(found)


def longest_of_each_day(spans: Iterable[Span], zone: ZoneInfo) -> tuple[Span, ...]:
    """One stretch for each day of the zone's calendar, the longest, the first of two equal ones.

    The planner drives one window a day and keeps a night's rest between two: a day in two parts gives it the longer
    part, so that nobody is ever sent out in their free hours.
    """
    by_day: dict[date, Span] = {}
    for span in sorted(spans):
        day = span.begin.astimezone(zone).date()
        known = by_day.get(day)
        if known is None or span.end - span.begin > known.end - known.begin:
            by_day[day] = span
    return tuple(by_day[day] for day in sorted(by_day))
