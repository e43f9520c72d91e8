"""Which calendar an address opens, and what stands in it."""

from datetime import date, datetime, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from fleet.models import FeedEvent, FeedToken, PlanStop, VisitWork
from fleet.planning.visits.feed import Event
from fleet.queries.visits.answers import stops_in_force
from sites import access
from sites.models import Person

SHOWN_AFTER = timedelta(days=30)
"""So long a visit that is over stays in the calendar."""


def live_token(person: Person) -> FeedToken | None:
    """What opens this person's calendar at present, or None. One statement."""
    return FeedToken.objects.filter(person=person, revoked_at=None).first()


def token_of_digest(digest: bytes, today: date) -> FeedToken | None:
    """The token with this digest, while it is good and its person is in the firm. One statement."""
    token = FeedToken.objects.filter(digest=digest, revoked_at=None).select_related("person").first()
    if token is None or not token.person.is_active or access.has_ended(token.person, today):
        return None
    return token


def planned_events(person: Person, since: datetime) -> list[Event]:
    """What plans in force have for one person and is not over at `since`; sequences begin anew. Two statements.

    Only what `Event` can hold is taken: kinds of work, never what somebody typed about them.
    """
    stops = stops_in_force(person).filter(end_at__gt=since).prefetch_related("visit__tasks")
    return [_event(stop, person) for stop in stops]


def uid_of(visit: UUID, person: Person) -> str:
    """The same for a visit and a person in every plan, and of no meaning to anybody else (RFC 7986, section 5.3)."""
    return str(uuid5(visit, str(person.pk)))


def told(person: Person, since: datetime) -> list[FeedEvent]:
    """Events that were told so far and are not over at `since`, cancelled ones too. One statement."""
    return list(FeedEvent.objects.filter(person=person, end_at__gt=since))


def as_event(row: FeedEvent) -> Event:
    """A row as the feed writes it."""
    return Event(
        str(row.uid),
        row.sequence,
        row.home,
        tuple(row.work),
        row.begin_at,
        row.end_at,
        ZoneInfo(row.zone),
        row.with_whom or None,
        row.cancelled,
    )


def _event(stop: PlanStop, person: Person) -> Event:
    site = stop.visit.site
    kinds = sorted({VisitWork(task.kind).value for task in stop.visit.tasks.all()})
    return Event(
        uid_of(stop.visit.uid, person),
        0,
        site.code,
        tuple(kinds),
        stop.begin_at,
        stop.end_at,
        ZoneInfo(site.time_zone),
        str(stop.second) if stop.second else None,
    )
