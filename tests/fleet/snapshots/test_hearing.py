"""Whether a node had been heard in time when a copy was taken."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.snapshots.hearing import Heard, heard_by

TAKEN_AT = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("silent", "longest_seconds", "heard"),
    [
        (timedelta(hours=2), 3600, Heard.HEARD),
        (timedelta(hours=2, seconds=1), 3600, Heard.SILENT),
        (timedelta(hours=26), None, Heard.HEARD),
        (timedelta(hours=26, seconds=1), None, Heard.SILENT),
        (timedelta(minutes=-5), 3600, Heard.HEARD),
    ],
)
def test_twice_the_longest_silence_is_still_in_time(silent, longest_seconds, heard):
    assert heard_by(TAKEN_AT - silent, TAKEN_AT, longest_seconds) is heard


def test_without_both_moments_nobody_knows():
    assert heard_by(None, TAKEN_AT, 3600) is Heard.UNKNOWN
    assert heard_by(TAKEN_AT, None, 3600) is Heard.UNKNOWN
