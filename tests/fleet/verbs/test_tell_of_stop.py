"""That rounds have stopped is told, once a day, without any job."""

from datetime import timedelta

import pytest

from fleet.models import MessageKind, RoundState
from fleet.verbs.tell import tell
from fleet.verbs.tell_of_stop import tell_of_stop
from tests import make

pytestmark = pytest.mark.django_db

NOW = make.NOW
HOUR = timedelta(hours=1)


def test_a_book_without_a_round_for_a_day_tells_so():
    make.reader()
    make.round_(started_at=NOW - 27 * HOUR)

    (written,) = tell_of_stop(NOW)

    assert (written.kind, written.subject) == (
        MessageKind.STOPPED,
        "Urgent: No round has ended for 26 hours.",
    )


def test_rounds_that_end_are_not_complained_of():
    make.reader()
    make.round_(started_at=NOW - 25 * HOUR)

    assert tell_of_stop(NOW) == []


def test_rounds_that_begin_and_break_off_are_as_good_as_none():
    make.reader()
    make.round_(started_at=NOW - 27 * HOUR)
    make.round_(started_at=NOW - HOUR, state=RoundState.BROKEN)

    assert len(tell_of_stop(NOW)) == 1


def test_it_is_told_once_for_each_day_of_it():
    make.reader()
    make.round_(started_at=NOW - 27 * HOUR)

    written = [message for hour in range(50) for message in tell_of_stop(NOW + hour * HOUR)]

    assert len(written) == 3  # in the second day, the third, the fourth


def test_a_new_book_is_left_in_peace():
    make.reader()

    assert tell_of_stop(NOW) == []


def test_only_readers_of_urgent_messages_hear_it():
    make.reader(urgent=False)
    make.round_(started_at=NOW - 27 * HOUR)

    assert tell_of_stop(NOW) == []


def test_the_job_tells_it_too():
    make.reader(morning_list=False)
    make.round_(started_at=NOW - 27 * HOUR)

    assert [message.kind for message in tell(NOW)] == [MessageKind.STOPPED]
