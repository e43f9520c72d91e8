"""What the page of messages asks."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Q

from fleet.models import Message, Wishes
from fleet.queries.readers import wishes_of
from sites import access
from sites.models import Person

OF_LATE = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Outbox:
    """How many messages wait, how many were given up of late, and how many were ever written."""

    waiting: int
    failed: int
    written: int


@dataclass(frozen=True, slots=True)
class Listener:
    """Somebody of the firm, and what they are told; `hears` is empty where nothing can reach them."""

    person: Person
    wishes: Wishes
    hears: str


def outbox(now: datetime) -> Outbox:
    """One statement."""
    return Outbox(
        **Message.objects.aggregate(
            waiting=Count("pk", filter=Q(sent_at=None, given_up_at=None)),
            failed=Count("pk", filter=Q(given_up_at__gte=now - OF_LATE)),
            written=Count("pk"),
        )
    )


def listeners(today: date) -> list[Listener]:
    """Everybody whose access has not ended, with what they are told. One statement."""
    people = Person.objects.filter(is_active=True).select_related("wishes").order_by("pk")
    return [
        Listener(person, wishes := wishes_of(person), _hears(person, wishes))
        for person in people
        if not access.has_ended(person, today)
    ]


def _hears(person: Person, wishes: Wishes) -> str:
    if not person.email:
        return ""
    told = [("the morning list", wishes.morning_list), ("urgent messages", wishes.urgent)]
    return " and ".join(what for what, wanted in told if wanted) or "nothing"
