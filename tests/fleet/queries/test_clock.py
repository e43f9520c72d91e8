"""The time of the book is the database's."""

from datetime import UTC, timedelta

import pytest
from django.utils import timezone

from fleet.queries import clock

pytestmark = pytest.mark.django_db

SECOND = timedelta(seconds=1)


def test_the_database_is_asked_and_answers_in_utc():
    before = timezone.now()
    found = clock.book_time()
    assert before - SECOND <= found.now <= timezone.now() + SECOND
    assert found.now.utcoffset() == timedelta(0)
    assert found.now.astimezone(UTC) == found.now


def test_a_machine_whose_clock_is_ahead_is_seen_to_be(monkeypatch):
    real = timezone.now
    monkeypatch.setattr(clock.timezone, "now", lambda: real() + timedelta(hours=2))

    found = clock.book_time()

    assert abs(found.off - timedelta(hours=2)) < SECOND


def test_the_clock_goes_on_whatever_is_set_meanwhile(monkeypatch):
    found = clock.book_time()
    monkeypatch.setattr(clock.time, "monotonic", lambda: found.read_at + 7)
    assert found.clock() == found.now + 7 * SECOND
