"""What the pages about clients and people ask."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Count, Prefetch, Q, QuerySet

from fleet.planning.reach import Position
from fleet.planning.visits.request import Licence as HeldLicence
from fleet.planning.visits.span import Span
from fleet.planning.visits.working import Weekly, longest_of_each_day, stretches
from sites.models import Client, DayOff, Firm, Licence, Person, Site, Skill, WorkingTime


def homes_by_client(clients: QuerySet[Client], sites: QuerySet[Site], words: str = "") -> QuerySet[Client]:
    """Clients in reading order, each with its homes (`open_sites`); every word must be found somewhere.

    Looked through: the client's name, reading and phone, and the code and name of each home. Two statements.
    """
    for word in words.split():
        clients = clients.filter(
            Q(name__icontains=word)
            | Q(reading__icontains=word)
            | Q(phone__contains=word)
            | Q(pk__in=sites.filter(Q(code__icontains=word) | Q(name__icontains=word)).values("client"))
        )
    return clients.prefetch_related(Prefetch("sites", sites.order_by("code"), to_attr="open_sites")).order_by(
        "reading", "name", "pk"
    )


def erased(clients: QuerySet[Client]) -> int:
    """How many of these clients were erased. One statement."""
    return clients.exclude(erased_at=None).count()


def homes_of(client: Client, sites: QuerySet[Site]) -> QuerySet[Site]:
    """The open homes of one client, each with the number of its meshes in care. One statement."""
    in_care = Count("meshes", filter=Q(meshes__in_care=True))
    return sites.filter(client=client).annotate(mesh_count=in_care).order_by("code")


@dataclass(frozen=True, slots=True)
class WorkingFacts:
    """What a plan needs to know of one person: stretches of work, licences, skills, and where the day begins.

    stretches are all there are; a day may have several. licences without a first day are valid since ever. base is
    None where nobody has written it down: such a person cannot be planned.
    """

    person: Person
    zone: ZoneInfo
    stretches: tuple[Span, ...]
    licences: tuple[HeldLicence, ...]
    skills: frozenset[str]
    base: Position | None

    @property
    def days(self) -> tuple[Span, ...]:
        """At most one stretch for each day, as `fleet.planning.visits.request.Technician` asks."""
        return longest_of_each_day(self.stretches, self.zone)


def firm_zone() -> str:
    """The firm's time zone; UTC while nobody has entered the firm. One statement."""
    return Firm.objects.values_list("time_zone", flat=True).first() or "UTC"


def working_facts(people: Iterable[Person], first_day: date, last_day: date) -> dict[int, WorkingFacts]:
    """Working facts by the person's key, in the order of `people`, from first_day to last_day, both included.

    A day is one of the person's own zone, or of the firm's. Nobody works who is out of the firm, or after the last
    day of their access. Five statements, and that of `people`.
    """
    everybody = list(people)
    firm = firm_zone()
    hours, off, licences, skills = (
        _by_person(rows.filter(person__in=everybody))
        for rows in (
            WorkingTime.objects.order_by("weekday", "begins"),
            DayOff.objects.filter(first_day__lte=last_day, last_day__gte=first_day),
            Licence.objects.order_by("kind", "valid_until"),
            Skill.objects.all(),
        )
    )
    found = {}
    for person in everybody:
        zone = ZoneInfo(person.time_zone or firm)
        ends = person.access_ends_on
        until = last_day if ends is None else min(last_day, ends)
        week = [Weekly(row.weekday, row.begins, row.ends) for row in hours[person.pk]]
        free = [(row.first_day, row.last_day) for row in off[person.pk]]
        found[person.pk] = WorkingFacts(
            person,
            zone,
            stretches(week, free, first_day, until, zone) if person.is_active else (),
            tuple(
                HeldLicence(row.kind, row.valid_from or date.min, row.valid_until)
                for row in licences[person.pk]
            ),
            frozenset(row.name for row in skills[person.pk]),
            base_of(person),
        )
    return found


def base_of(person: Person) -> Position | None:
    """Where the person's day begins and ends, or None."""
    if person.base_latitude is None or person.base_longitude is None:
        return None
    return Position(float(person.base_latitude), float(person.base_longitude))


def licence_until(person: Person, kind: str, day: date) -> date | None:
    """The last day of a licence of that kind that has begun by a day, the latest one; None without. One statement."""
    held = _begun(Licence.objects.filter(person=person, kind=kind), day).order_by("-valid_until")
    return held.values_list("valid_until", flat=True).first()


def licensed_on(kind: str, day: date) -> QuerySet[Person]:
    """People of the firm with a licence of that kind that is valid on a day; each once."""
    held = _begun(Licence.objects.filter(kind=kind, valid_until__gte=day), day)
    return Person.objects.filter(is_active=True, pk__in=held.values("person"))


def _begun(licences: QuerySet[Licence], day: date) -> QuerySet[Licence]:
    return licences.filter(Q(valid_from=None) | Q(valid_from__lte=day))


def _by_person(rows: Iterable[WorkingTime | DayOff | Licence | Skill]) -> dict[int, list]:
    found: dict[int, list] = defaultdict(list)
    for row in rows:
        found[row.person_id].append(row)
    return found
