"""Dates, minutes, counts and addresses as people say them in the language of the sheet (Unicode CLDR).

Digits are ASCII in every language, so that a number reads the same on paper, on a screen and on the telephone.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta, tzinfo
from decimal import Decimal

from babel.dates import format_date, format_skeleton
from babel.lists import format_list
from babel.numbers import format_decimal, format_percent

from reports.drawing.language import _, isolated, later, locale, many, placing

NOT_RECORDED = later("not recorded")
FIXED_SPACE = "\u00a0"
NARROW_SPACE = "\u202f"


def not_recorded() -> str:
    """The plain words that nobody recorded it."""
    return _(NOT_RECORDED)


def day(value: date) -> str:
    """26 March 2027"""
    return _tied(format_date(value, "long", locale=locale()))


def weekday(value: date) -> str:
    """Friday, 26 March 2027"""
    return format_date(value, "full", locale=locale())


def month(value: date) -> str:
    """September 2027"""
    return format_skeleton("yMMMM", value, locale=locale())


def moment(value: datetime, zone: tzinfo | None) -> str:
    """26 March 2027, 09:00 - on the clock of the home."""
    there = value.astimezone(zone)
    return _("{day}, {time}").format(day=day(there), time=clock(there))


def clock(value: datetime) -> str:
    """09:00"""
    return f"{value:%H:%M}"


def offset(value: datetime) -> str:
    """UTC+01:00, UTC-02:30, UTC+13:45"""
    minutes = round((value.utcoffset() or timedelta()).total_seconds() / 60)
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def counted(form: str, number: int, **values: str) -> str:
    """A form from `many`, its place {n} filled: 31 devices, with a space that does not break."""
    return placing(form.replace("{n} ", f"{{n}}{FIXED_SPACE}")).format(n=thousands(number), **values)


def minutes(value: int) -> str:
    """8 min, 1 h 30 min, 2 days 3 h"""
    hours, rest = divmod(value, 60)
    days, hours = divmod(hours, 24)
    parts = [_days(days)] if days else []
    parts += [counted(_("{n} h"), hours)] if hours else []
    parts += [counted(_("{n} min"), rest)] if rest or not parts else []
    return " ".join(parts)


def hours(value: int) -> str:
    """24 hours, 3 days"""
    if value >= 48 and value % 24 == 0:
        return _days(value // 24)
    return counted(many("{n} hour", "{n} hours", value), value)


def _days(number: int) -> str:
    return counted(many("{n} day", "{n} days", number), number)


def thousands(value: int) -> str:
    """17,080,656"""
    return number(value)


def number(value: int | Decimal) -> str:
    """9.3, with the marks of the language between its digits."""
    return format_decimal(value, locale=locale()).replace(NARROW_SPACE, FIXED_SPACE)


def percent(value: int | Decimal) -> str:
    """20%, with the space that some languages put before the sign."""
    return format_percent(Decimal(value) / 100, locale=locale()).replace(NARROW_SPACE, FIXED_SPACE)


def grouped(address: str) -> str:
    """02A4 C138 F00D 0011: sixteen digits in fours, for reading aloud."""
    return FIXED_SPACE.join(address[at : at + 4] for at in range(0, len(address), 4))


def listed(parts: Sequence[str]) -> str:
    """a, b and c"""
    return format_list([isolated(part) for part in parts], locale=locale()) if parts else ""


def commas(parts: Sequence[str]) -> str:
    """a, b, c"""
    return _(", ").join(isolated(part) for part in parts)


def semicolons(parts: Sequence[str]) -> str:
    """a; b; c"""
    return _("; ").join(isolated(part) for part in parts)


def phone(number: str) -> str:
    """The number as written, kept on one line."""
    return number.replace(" ", FIXED_SPACE)


def sentence(text: str) -> str:
    """The text with a capital letter first."""
    return text[:1].upper() + text[1:]


def _tied(text: str) -> str:
    """The number of a day tied to what follows."""
    return text.replace(" ", FIXED_SPACE, 1)


def count(number: int, one: str, many: str | None = None) -> str:
    """1 device, 31 devices, with a space that does not break."""
    return f"{number}\u00a0{one if number == 1 else many or one + 's'}"
