"""A sign of life goes out after each complete round, once, and never for one of long ago."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from fleet.models import RoundState
from fleet.planning.reaching import networks
from fleet.verbs.sign_of_life import give_sign
from tests import make
from tests.fleet.verbs.receiving import Listening, listening

pytestmark = pytest.mark.django_db

NOW = make.NOW
MINUTE = timedelta(minutes=1)


@pytest.fixture
def outside(settings) -> Iterator[Listening]:
    settings.EVENTS_MAY_REACH = networks(["127.0.0.1/32"])
    with listening() as found:
        settings.SIGN_OF_LIFE = found.address
        yield found


def test_a_round_that_ended_is_told_once(outside):
    make.round_(started_at=NOW - 5 * MINUTE)

    assert [give_sign(NOW), give_sign(NOW + MINUTE)] == [True, False]
    assert len(outside.heard) == 1


def test_each_round_is_told(outside):
    for hour in range(3):
        make.round_(started_at=NOW + timedelta(hours=hour) - 5 * MINUTE)
        give_sign(NOW + timedelta(hours=hour))

    assert len(outside.heard) == 3


def test_silence_when_rounds_stop(outside):
    make.round_(started_at=NOW - timedelta(hours=2))

    assert not give_sign(NOW)
    assert outside.heard == []


def test_a_round_that_broke_off_is_no_sign_of_life(outside):
    make.round_(started_at=NOW - 5 * MINUTE, state=RoundState.BROKEN)

    assert not give_sign(NOW)


def test_a_sign_that_nobody_took_is_given_again(outside):
    make.round_(started_at=NOW - 5 * MINUTE)
    outside.answer = 500
    assert not give_sign(NOW)

    outside.answer = 200
    assert give_sign(NOW + MINUTE)


def test_without_an_address_nothing_is_asked(settings):
    settings.SIGN_OF_LIFE = ""
    make.round_(started_at=NOW - 5 * MINUTE)

    assert not give_sign(NOW)
