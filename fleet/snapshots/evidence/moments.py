"""Times: texts in ISO 8601, and numbers that count from 1970 to a year in which there were such meshes."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.guide_facts import Kind
from fleet.snapshots.readings import Reading, ReadingError, reader_for

EARLIEST = datetime(2012, 1, 1, tzinfo=UTC)
LATEST = datetime(2060, 1, 1, tzinfo=UTC)
_READINGS = (Reading.ISO_TIME, Reading.SECONDS, Reading.MILLISECONDS, Reading.MICROSECONDS)
_READERS = {reading: reader_for(Kind.TIME, reading) for reading in _READINGS}
_LEAST_SHARE = 0.9
_SHORTEST, _LONGEST = 8, 40
_MAY_BE = re.compile(r"\s*[0-9][0-9:.,+\-TZtzUC ]*")


def moment(value: JsonValue) -> tuple[Reading, datetime] | None:
    """The value as a plausible time, or None."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return None
    if isinstance(value, str) and not (_SHORTEST <= len(value) <= _LONGEST and _MAY_BE.fullmatch(value)):
        return None
    for reading, reader in _READERS.items():
        try:
            found = reader.read(value)
        except ReadingError:
            continue
        if isinstance(found, datetime) and EARLIEST <= found < LATEST:
            return reading, found
    return None


def moments(values: Sequence[JsonValue]) -> tuple[Reading, list[datetime]] | None:
    """A column of times in one notation, or None."""
    found = [seen for value in values if (seen := moment(value)) is not None]
    readings = {reading for reading, _ in found}
    if not found or len(readings) > 1 or len(found) < _LEAST_SHARE * len(values):
        return None
    return readings.pop(), [when for _, when in found]


def is_date_only(value: JsonValue) -> bool:
    """A day without a time of day."""
    return isinstance(value, str) and "-" in value and len(value.strip()) <= len("2026-11-25")


SLACK = timedelta(minutes=5)
"""Clocks of one home differ by a little (common practice, no source)."""
