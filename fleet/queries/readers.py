"""Who is told what: people of the firm with an address, by what they wish or else by their role."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.conf import settings

from fleet.models import Wishes
from fleet.models.message import RIGHT_TO_LEFT
from fleet.planning.messages.pen import Desk
from sites import access
from sites.models import Person, Role

TOLD_BY_ROLE = frozenset({Role.OWNER, Role.OFFICE})


@dataclass(frozen=True, slots=True)
class Reader:
    """One person, and what they are told."""

    person: Person
    wishes: Wishes

    @property
    def zone(self) -> ZoneInfo:
        """Their clock."""
        return ZoneInfo(self.wishes.time_zone)

    @property
    def desk(self) -> Desk:
        """What their letters are written for."""
        return Desk(self.zone, self.wishes.language in RIGHT_TO_LEFT, settings.BOOK_ADDRESS)


def wishes_of(person: Person) -> Wishes:
    """What somebody wishes; where they never said, a row that is not saved, with what their role is told."""
    try:
        return person.wishes
    except Wishes.DoesNotExist:
        told = person.role in TOLD_BY_ROLE
        return Wishes(person=person, morning_list=told, urgent=told)


def readers(today: date) -> list[Reader]:
    """Everybody who is told anything. One statement."""
    people = Person.objects.filter(is_active=True).exclude(email="").select_related("wishes").order_by("pk")
    found = [Reader(person, wishes_of(person)) for person in people if not access.has_ended(person, today)]
    return [each for each in found if each.wishes.morning_list or each.wishes.urgent]
