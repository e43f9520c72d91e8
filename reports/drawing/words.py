"""Dates, minutes, counts and addresses as people say them. English only until the texts are translated."""

from datetime import date, datetime, timedelta, tzinfo

NOT_RECORDED = "not recorded"
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day(value: date) -> str:
    """26 March 2027"""
    return f"{value.day}\u00a0{MONTHS[value.month - 1]} {value.year}"


def weekday(value: date) -> str:
    """Friday 26 March 2027"""
    return f"{DAYS[value.weekday()]} {day(value)}"


def month(value: date) -> str:
    """September 2027"""
    return f"{MONTHS[value.month - 1]} {value.year}"


def moment(value: datetime, zone: tzinfo | None) -> str:
    """26 March 2027, 09:00 - on the clock of the home."""
    there = value.astimezone(zone)
    return f"{day(there)}, {there:%H:%M}"


def offset(value: datetime) -> str:
    """UTC+01:00, UTC-02:30, UTC+13:45"""
    minutes = round((value.utcoffset() or timedelta()).total_seconds() / 60)
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def count(number: int, one: str, many: str | None = None) -> str:
    """1 device, 31 devices, with a space that does not break."""
    return f"{number}\u00a0{one if number == 1 else many or one + 's'}"


def minutes(value: int) -> str:
    """8 min, 1 h 30 min, 2 days 3 h"""
    hours, rest = divmod(value, 60)
    days, hours = divmod(hours, 24)
    parts = [count(days, "day")] if days else []
    parts += [f"{hours}\u00a0h"] if hours else []
    parts += [f"{rest}\u00a0min"] if rest or not parts else []
    return " ".join(parts)


def hours(value: int) -> str:
    """24 hours, 3 days"""
    return count(value // 24, "day") if value >= 48 and value % 24 == 0 else count(value, "hour")


def thousands(value: int) -> str:
    """17,080,656"""
    return f"{value:,}"


def grouped(address: str) -> str:
    """02A4 C138 F00D 0011: sixteen digits in fours, for reading aloud."""
    return "\u00a0".join(address[at : at + 4] for at in range(0, len(address), 4))


def listed(parts: list[str]) -> str:
    """a, b and c"""
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def phone(number: str) -> str:
    """The number as written, kept on one line."""
    return number.replace(" ", "\u00a0")


def sentence(text: str) -> str:
    """The text with a capital letter first."""
    return text[:1].upper() + text[1:]
