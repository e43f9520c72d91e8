"""Writing down what a survey of the air heard at a mesh."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import ChannelSurvey, Mesh, WifiHeard
from fleet.verbs import journal


@transaction.atomic
def hear(mesh: Mesh, heard: WifiHeard, by: str, now: datetime) -> WifiHeard:
    """Add a network to the survey of today, as the day is at the home; the first one begins it."""
    heard.survey = _todays(mesh, by, now)
    heard.save()
    return heard


@transaction.atomic
def hear_nothing(mesh: Mesh, by: str, now: datetime) -> ChannelSurvey:
    """A survey of today in which no network was heard, or none of those noted is there any more."""
    survey = _todays(mesh, by, now)
    survey.heard.all().delete()
    return survey


def strike(heard: WifiHeard) -> None:
    """Take a network out of its survey: it was noted by mistake."""
    heard.delete()


def _todays(mesh: Mesh, by: str, now: datetime) -> ChannelSurvey:
    today = now.astimezone(ZoneInfo(mesh.site.time_zone)).date()
    survey, is_new = ChannelSurvey.objects.get_or_create(mesh=mesh, done_on=today, defaults={"by": by[:120]})
    if is_new:
        journal.record(by, "air surveyed", mesh.code, now)
    return survey
