"""Moments in the notations that documents use: ISO 8601 text and counts since 1970 (POSIX time)."""

import math
import re
from datetime import UTC, datetime, timedelta

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.notations import ReadingError

_ISO = re.compile(
    r"\d{4}-\d{2}-\d{2}(?P<gap>[Tt ])?(?:\d{2}:\d{2}(?::\d{2}(?P<fraction>[.,]\d{1,9})?)?)?"
    r" ?(?P<zone>[Zz]|[+-]\d{2}(?::?\d{2})?| ?UTC)?"
    r"|\d{8}(?P<compact>T)\d{6} ?(?P<compact_zone>Z|[+-]\d{4})?"
)
_COUNT = re.compile(r"\d{1,16}(?:\.\d{1,9})?")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_LONGEST = 40


def from_iso(value: JsonValue) -> datetime:
    """ "2026-11-25T04:00:00+01:00" -> that moment in UTC. A text without a zone is taken as UTC."""
    right = "a date and time such as 2026-11-25T03:00:00Z"
    text = value.strip() if isinstance(value, str) and len(value) <= _LONGEST else ""
    if not _ISO.fullmatch(text):
        raise ReadingError(right)
    try:
        moment = datetime.fromisoformat(
            re.sub(r"\s*(UTC|z)$", "Z", text).replace(",", ".").replace(" +", "+")
        )
        return moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC)
    except (ValueError, OverflowError):
        raise ReadingError(right) from None


def to_iso(moment: datetime, like: JsonValue) -> JsonValue:
    """The moment with the separator, zone and number of decimals of the text that stood there."""
    text = like.strip() if isinstance(like, str) else ""
    match = _ISO.fullmatch(text)
    if match is None:
        return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")
    zone = match["zone"] or match["compact_zone"] or ""
    there = datetime.fromisoformat(f"2000-01-01T00:00:00{zone.strip()}") if zone[:1] in ("+", "-") else None
    local = moment.astimezone(there.tzinfo if there else UTC)
    if match["compact"]:
        return local.strftime("%Y%m%dT%H%M%S") + zone
    places = len(match["fraction"]) - 1 if match["fraction"] else 0
    fraction = match["fraction"][0] + f"{local.microsecond:06d}000"[:places] if match["fraction"] else ""
    return f"{local:%Y-%m-%d}{match['gap'] or 'T'}{local:%H:%M:%S}{fraction}{zone}"


def from_count(value: JsonValue, per_second: int) -> datetime:
    """A count of seconds, milliseconds or microseconds since 1970-01-01 UTC, as number or text -> the moment."""
    right = {1: "seconds", 1_000: "milliseconds", 1_000_000: "microseconds"}[per_second] + " since 1970"
    if isinstance(value, str) and len(value) <= _LONGEST and _COUNT.fullmatch(value.strip()):
        value = float(value) if "." in value else int(value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        raise ReadingError(right)
    try:
        return _EPOCH + round(value * (1_000_000 // per_second)) * _MICROSECOND
    except OverflowError:
        raise ReadingError(right) from None


def to_count(moment: datetime, like: JsonValue, per_second: int) -> JsonValue:
    """The moment as a count of the same kind: text stays text, a number with decimals keeps them."""
    microseconds = (moment - _EPOCH) // _MICROSECOND
    step = 1_000_000 // per_second
    if isinstance(like, float):
        return microseconds / step
    if isinstance(like, str) and "." in like:
        return f"{microseconds / step:.{len(like.strip().partition('.')[2])}f}"
    return str(microseconds // step) if isinstance(like, str) else microseconds // step
