"""Stretches of days that a paper can be about: a calendar month, or the days from one to another."""

from datetime import date, timedelta

from reports.facts.errors import FactsError

_DAY = timedelta(days=1)
EARLIEST = date(1970, 1, 1)
"""No home has a record of an earlier day."""
LONGEST_DAYS = 1096
"""Three years with a leap day: longer ones belong in several papers."""

Days = tuple[date, date]


def month_before(today: date) -> Days:
    """The last whole calendar month."""
    last = today.replace(day=1) - _DAY
    return last.replace(day=1), last


def month_named(text: str, today: date, begins: date | None) -> Days:
    """The month that somebody wrote as 2027-02. It must be over, and not end before the book begins: the first day of
    which the book knows something, or None where it knows of none. Raises FactsError."""
    newest = month_before(today)
    try:
        first = date.fromisoformat(f"{text.strip()}-01")
    except ValueError:
        raise FactsError(f"month: “{text}” is no month; write one such as {newest[0]:%Y-%m}.") from None
    if first >= today.replace(day=1):
        raise FactsError(f"month: {first:%Y-%m} is not over; the last whole month is {newest[0]:%Y-%m}.")
    if begins is None or begins > newest[1]:
        day = f"begins on {begins}" if begins else "is empty"
        raise FactsError(f"month: the book {day}; its first month can be issued as soon as that is over.")
    if first < begins.replace(day=1):
        right = f"{begins:%Y-%m} to {newest[0]:%Y-%m}"
        # Written out by isoformat: the strftime of some systems leaves the zeros of early years away.
        raise FactsError(
            f"month: {first.isoformat()[:7]} lies before the book, which begins on {begins}; right is {right}."
        )
    return first, (first + timedelta(days=31)).replace(day=1) - _DAY


def year_up_to(today: date) -> Days:
    """The year that ended yesterday."""
    try:
        return today.replace(year=today.year - 1), today - _DAY
    except ValueError:  # today is the 29th of February
        return date(today.year - 1, 3, 1), today - _DAY


def days_named(first: str, last: str, today: date) -> Days:
    """From and until as somebody wrote them, empty for the default: the year up to yesterday. Raises FactsError."""
    usual_first, usual_last = year_up_to(today)
    until = _day("until", last, usual_last)
    if until > usual_last:
        raise FactsError(f"until: {until} is not over; the last whole day is {usual_last}.")
    start = year_up_to(until + _DAY)[0] if not first.strip() else _day("from", first, usual_first)
    if start > until:
        raise FactsError(f"from: {start} lies after until, {until}; write the earlier day first.")
    if (until - start).days >= LONGEST_DAYS:
        days = (until - start).days + 1
        raise FactsError(f"from: {start} to {until} are {days} days; at most {LONGEST_DAYS} fit in one pack.")
    return start, until


def _day(field: str, text: str, usual: date) -> date:
    if not text.strip():
        return usual
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise FactsError(f"{field}: “{text}” is no day; write one such as {usual}.") from None
    if day < EARLIEST:
        raise FactsError(f"{field}: {day} lies too far back; right is {EARLIEST} to {usual}.")
    return day
