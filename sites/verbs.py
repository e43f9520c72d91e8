"""What changes the rows of this room: one transaction and one journal line each.

The journal lies in a room above, so whoever joins the rooms hands its pen in (see fleet.config.urls).
"""

from collections.abc import Collection, Iterable
from datetime import date, datetime, timedelta
from typing import Protocol

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.planning.visits.working import WEEKDAYS, Weekly, overlapping
from sites.models import Agreement, Client, Contact, DayOff, Licence, Person, Site, Skill, WorkingTime


class Record(Protocol):
    """Writes one journal line; the details are plain values, never secrets."""

    def __call__(self, who: str, what: str, subject: str, at: datetime, **details: object) -> object: ...


MOST_DAYS_OFF = 366

Row = Client | Site | Contact | Agreement


@transaction.atomic
def put_down(row: Row, changed: list[str], by: str, now: datetime, record: Record) -> None:
    """Save a new or changed row. Names of fields go to the journal; what was typed does not, as it may be personal."""
    verb = "entered" if row.pk is None else "changed"
    row.save()
    record(by, f"{row._meta.verbose_name} {verb}", subject_of(row), now, fields=sorted(changed))


@transaction.atomic
def strike_contact(contact: Contact, by: str, now: datetime, record: Record) -> None:
    """Take somebody off the list of people to call."""
    subject = subject_of(contact)
    contact.delete()
    record(by, "contact struck out", subject, now)


def subject_of(row: Row) -> str:
    """What the journal calls it: a home's code, or a client's own mark."""
    if isinstance(row, Client):
        return str(row.uid)
    return row.code if isinstance(row, Site) else row.site.code


class WorkingRefused(Exception):
    """Nothing of a person's working facts was changed; the sentence names the field, the value, and what is right."""


@transaction.atomic
def set_hours(person: Person, week: Iterable[Weekly], by: str, now: datetime, record: Record) -> None:
    """Put a whole week of working hours in the place of the one before. Raises WorkingRefused where two overlap."""
    held = _locked(person)
    stretches = sorted(week, key=lambda each: (each.weekday, each.begins))
    if pair := overlapping(stretches):
        day = WEEKDAYS[pair[0].weekday]
        raise WorkingRefused(f"{day}: {pair[0].hours} and {pair[1].hours} overlap.")
    held.working_times.all().delete()
    WorkingTime.objects.bulk_create(
        WorkingTime(person=held, weekday=each.weekday, begins=each.begins, ends=each.ends)
        for each in stretches
    )
    days = sorted({each.weekday for each in stretches})
    record(by, "working hours changed", "", now, person=held.username, days=[WEEKDAYS[day] for day in days])


@transaction.atomic
def set_base(person: Person, changed: Collection[str], by: str, now: datetime, record: Record) -> None:
    """Save where a person's day begins and their zone. Where that is stays out of the journal: it may be their home."""
    held = _locked(person)
    fields = ["base_latitude", "base_longitude", "time_zone"]
    for name in fields:
        setattr(held, name, getattr(person, name))
    _insist(held, fields)
    held.save(update_fields=fields)
    record(by, "base of a person changed", "", now, person=held.username, fields=sorted(changed))


@transaction.atomic
def give_licence(licence: Licence, by: str, now: datetime, record: Record) -> None:
    """Write down a licence that somebody holds. Raises WorkingRefused for one that cannot be, or is there already."""
    _locked(licence.person)
    _insist(licence)
    licence.save()
    _record_licence(licence, "licence written down", by, now, record)


@transaction.atomic
def strike_licence(licence: Licence, by: str, now: datetime, record: Record) -> None:
    """Take a licence off somebody; a second call finds nothing to do."""
    _locked(licence.person)
    if Licence.objects.filter(pk=licence.pk).delete()[0]:
        _record_licence(licence, "licence struck out", by, now, record)


@transaction.atomic
def set_skills(person: Person, names: Iterable[str], by: str, now: datetime, record: Record) -> None:
    """Put these skills in the place of those before. Raises WorkingRefused for one that is no plain word."""
    held = _locked(person)
    wanted = sorted(set(names))
    rows = [Skill(person=held, name=name) for name in wanted]
    for row in rows:
        _insist(row, ["name"])
    held.skills.all().delete()
    Skill.objects.bulk_create(rows)
    record(by, "skills changed", "", now, person=held.username, skills=wanted)


@transaction.atomic
def take_off(days: DayOff, by: str, now: datetime, record: Record) -> None:
    """Write down days without work. The reason stays out of the journal. Raises WorkingRefused."""
    _locked(days.person)
    _insist(days)
    if days.last_day - days.first_day > timedelta(days=MOST_DAYS_OFF):
        raise WorkingRefused(
            f"last day: {days.last_day}; right is at most {MOST_DAYS_OFF} days after the first."
        )
    days.save()
    _record_off(days, "days off written down", by, now, record)


@transaction.atomic
def strike_off(days: DayOff, by: str, now: datetime, record: Record) -> None:
    """Days off become days of work again; a second call finds nothing to do."""
    _locked(days.person)
    if DayOff.objects.filter(pk=days.pk).delete()[0]:
        _record_off(days, "days off struck out", by, now, record)


def _locked(person: Person) -> Person:
    """The person's row, so that two who change the same facts come one after the other."""
    return Person.objects.select_for_update().get(pk=person.pk)


def _insist(row: Person | Licence | Skill | DayOff, fields: Collection[str] = ()) -> None:
    """Whatever the model asks of a row; of these fields, or of all. Raises WorkingRefused with every fault."""
    others = {field.name for field in row._meta.fields} - set(fields) if fields else None
    try:
        row.full_clean(exclude=others)
    except ValidationError as error:
        told = [
            f"{'' if name == '__all__' else name.replace('_', ' ') + ': '}{_given(row, name)}{' '.join(faults)}"
            for name, faults in error.message_dict.items()
        ]
        raise WorkingRefused(" ".join(told)) from None


def _given(row: Person | Licence | Skill | DayOff, name: str) -> str:
    value = getattr(row, name, None)
    return "" if value in (None, "") else f"{value}; "


def _record_licence(licence: Licence, what: str, by: str, now: datetime, record: Record) -> None:
    record(
        by,
        what,
        "",
        now,
        person=licence.person.username,
        kind=licence.kind,
        valid_from=_iso(licence.valid_from),
        valid_until=_iso(licence.valid_until),
    )


def _record_off(days: DayOff, what: str, by: str, now: datetime, record: Record) -> None:
    first, last = _iso(days.first_day), _iso(days.last_day)
    record(by, what, "", now, person=days.person.username, first_day=first, last_day=last)


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
