from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.models import ChannelSurvey, JournalEntry, WifiHeard
from fleet.verbs import survey
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    return make.mesh()


def wifi(channel=6):
    return WifiHeard(channel=channel, level_dbm=-60, busy_percent=40)


def test_networks_of_one_day_are_one_survey(mesh):
    survey.hear(mesh, wifi(1), "Noor", make.NOW)
    survey.hear(mesh, wifi(6), "Noor", make.NOW + timedelta(hours=1))

    assert ChannelSurvey.objects.get().heard.count() == 2
    assert JournalEntry.objects.filter(what="air surveyed", subject=mesh.code).count() == 1


def test_the_day_is_that_of_the_home(mesh):
    before_midnight_in_utc = datetime(2027, 3, 26, 23, 30, tzinfo=UTC)
    survey.hear(mesh, wifi(), "Noor", before_midnight_in_utc)
    assert ChannelSurvey.objects.get().done_on == date(2027, 3, 27)  # Oslo


def test_another_day_is_another_survey_and_the_old_one_stays(mesh):
    survey.hear(mesh, wifi(1), "Noor", make.NOW - timedelta(days=90))
    survey.hear(mesh, wifi(6), "Noor", make.NOW)

    assert [heard.channel for heard in mesh.surveys.first().heard.all()] == [6]
    assert mesh.surveys.count() == 2


def test_hearing_nothing_is_a_survey_too(mesh):
    survey.hear_nothing(mesh, "Noor", make.NOW)
    assert mesh.surveys.get().heard.count() == 0


@pytest.mark.parametrize(
    ("channel", "width", "centre"),
    [(6, "20", 2437), (1, "40+", 2422), (5, "40-", 2422), (14, "20", 2484)],
    ids=lambda value: f"{value} (IEEE 802.11)",
)
def test_a_network_of_40_mhz_lies_beside_its_channels_centre(channel, width, centre):
    assert WifiHeard(channel=channel, width=width, level_dbm=-60, busy_percent=10).centre_mhz == centre
