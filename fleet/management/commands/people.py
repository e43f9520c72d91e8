"""python manage.py people {list,hours,licence,off,base,skills}: who works when, and what they may and can do."""

import json
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.tables import table
from fleet.planning.visits.span import VisitError
from fleet.planning.visits.working import WEEKDAYS, Weekly, read_day
from fleet.queries.people import Worker, workers
from fleet.verbs.journal import record
from sites import verbs
from sites.models import DayOff, Licence, Person


class Command(BaseCommand):
    help = (
        "list: who can drive out in the seven days from today, hours and licences. hours, licence, off, base, skills: "
        "write down one person's working facts."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="who works when, and whose licence ends")
        listed.add_argument("user", nargs="?", metavar="USER", help="one person only")
        hours = acts.add_parser("hours", help="the usual week; days that are not named stay as they are")
        hours.add_argument("user", metavar="USER")
        hours.add_argument(
            "days", nargs="+", metavar="DAY=HOURS", help="monday=08:00-12:00,14:00-18:00; monday= is no work"
        )
        licence = acts.add_parser("licence", help="a licence, by its kind and last day")
        licence.add_argument("user", metavar="USER")
        licence.add_argument("kind", metavar="KIND", help="the same word as on visits: mains")
        licence.add_argument("until", metavar="LAST", help="its last day, 2027-12-31")
        licence.add_argument("--since", metavar="DAY", help="its first day")
        off = acts.add_parser("off", help="days without work")
        off.add_argument("user", metavar="USER")
        off.add_argument("first", metavar="FIRST", help="2027-04-01")
        off.add_argument("last", nargs="?", metavar="LAST", help="the same day if left out")
        off.add_argument("--because", default="", metavar="WORDS", help="may stay empty; never an illness")
        for each in (licence, off):
            each.add_argument("--strike", action="store_true", help="strike out what was written down")
        base = acts.add_parser("base", help="where the day begins, and on which clock")
        base.add_argument("user", metavar="USER")
        base.add_argument("latitude", metavar="LATITUDE", help="degrees, north positive; - for none")
        base.add_argument("longitude", metavar="LONGITUDE", help="degrees, east positive; - for none")
        base.add_argument("--zone", metavar="ZONE", help="such as Europe/Oslo; empty: the firm's")
        skills = acts.add_parser("skills", help="all skills, in place of those before")
        skills.add_argument("user", metavar="USER")
        skills.add_argument("names", nargs="*", metavar="SKILL")
        for each in (hours, licence, off, base, skills):
            each.add_argument("--by", required=True, metavar="NAME", help="who writes it down")
        for each in (listed, hours, licence, off, base, skills):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["act"] == "list":
            people = [_named(options["user"])] if options["user"] else Person.objects.filter(is_active=True)
            self.tell(workers(people, timezone.now()), options["json"])
            return
        person = _named(options["user"])
        deeds = {
            "hours": self.hours,
            "licence": self.licence,
            "off": self.off,
            "base": self.base,
            "skills": self.skills,
        }
        try:
            deeds[options["act"]](person, options)
        except (verbs.WorkingRefused, VisitError) as error:
            raise CommandError(f"Nothing was written. {error}") from None
        self.tell(workers([_named(person.username)], timezone.now()), options["json"])

    def hours(self, person: Person, options: dict[str, Any]) -> None:
        told = dict(_day(word) for word in options["days"])
        kept = [
            Weekly(row.weekday, row.begins, row.ends)
            for row in person.working_times.all()
            if row.weekday not in told
        ]
        week = kept + [each for number, text in told.items() for each in read_day(number, text)]
        verbs.set_hours(person, week, options["by"], timezone.now(), record)

    def licence(self, person: Person, options: dict[str, Any]) -> None:
        kind, until = options["kind"].lower(), _date(options["until"], "LAST")
        if options["strike"]:
            held = person.licences.filter(kind=kind, valid_until=until).first()
            if held is None:
                there = ", ".join(map(str, person.licences.all())) or "none"
                raise CommandError(f"KIND {kind}: no such licence until {until}; there are: {there}.")
            verbs.strike_licence(held, options["by"], timezone.now(), record)
            return
        since = _date(options["since"], "--since") if options["since"] else None
        row = Licence(person=person, kind=kind, valid_from=since, valid_until=until)
        verbs.give_licence(row, options["by"], timezone.now(), record)

    def off(self, person: Person, options: dict[str, Any]) -> None:
        first = _date(options["first"], "FIRST")
        last = _date(options["last"], "LAST") if options["last"] else first
        if options["strike"]:
            held = person.days_off.filter(first_day=first, last_day=last).first()
            if held is None:
                there = ", ".join(map(str, person.days_off.all())) or "none"
                raise CommandError(f"FIRST {first}: no days off from then to {last}; there are: {there}.")
            verbs.strike_off(held, options["by"], timezone.now(), record)
            return
        row = DayOff(person=person, first_day=first, last_day=last, reason=options["because"])
        verbs.take_off(row, options["by"], timezone.now(), record)

    def base(self, person: Person, options: dict[str, Any]) -> None:
        person.base_latitude = _degrees(options["latitude"], "LATITUDE")
        person.base_longitude = _degrees(options["longitude"], "LONGITUDE")
        changed = ["base_latitude", "base_longitude"]
        if options["zone"] is not None:
            person.time_zone = options["zone"]
            changed.append("time_zone")
        verbs.set_base(person, changed, options["by"], timezone.now(), record)

    def skills(self, person: Person, options: dict[str, Any]) -> None:
        names = [name.lower() for name in options["names"]]
        verbs.set_skills(person, names, options["by"], timezone.now(), record)

    def tell(self, found: list[Worker], as_json: bool) -> None:
        facts = [_facts(each) for each in found]
        if as_json:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        heads = ("who", "zone", "base", "drives out", "hours", "licences")
        rows = [
            (
                each["user"],
                each["zone"],
                "known" if each["has_base"] else "none",
                each["why_not"] or "yes",
                ", ".join(f"{day['day']} {' '.join(day['hours'])}" for day in each["days"] if day["hours"]),
                ", ".join(f"{row['kind']} until {row['until']}: {row['stands']}" for row in each["licences"]),
            )
            for each in facts
        ]
        self.stdout.write(table(heads, rows))


def _facts(worker: Worker) -> dict[str, Any]:
    """What is said of one person to a program; where the base is stays on the page."""
    return {
        "user": worker.person.username,
        "zone": worker.facts.zone.key,
        "has_base": worker.facts.base is not None,
        "why_not": worker.why_not,
        "days": [
            {
                "day": day.day.isoformat(),
                "hours": [f"{begin:%H:%M}-{end:%H:%M}" for begin, end in day.hours],
                "off": day.is_off,
            }
            for day in worker.days
        ],
        "licences": [
            {"kind": each.row.kind, "until": each.row.valid_until.isoformat(), "stands": each.standing.value}
            for each in worker.licences
        ],
        "skills": worker.skills,
    }


def _named(user: str) -> Person:
    person = Person.objects.filter(username=user, is_active=True).first()
    if person is None:
        known = ", ".join(Person.objects.filter(is_active=True).values_list("username", flat=True)[:12])
        raise CommandError(f"USER {user}: there is no such person; there are: {known or 'none'}.")
    return person


def _day(word: str) -> tuple[int, str]:
    name, equals, text = word.partition("=")
    known = [number for number, day in enumerate(WEEKDAYS) if day.lower() == name.lower()]
    if not known or not equals:
        raise CommandError(f"DAY=HOURS {word}: right is a day and its hours, such as monday=08:00-16:30.")
    return known[0], text


def _date(text: str, name: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{name} {text}: right is a day such as 2027-04-01.") from None


def _degrees(text: str, name: str) -> Decimal | None:
    try:
        return None if text == "-" else Decimal(text)
    except InvalidOperation:
        raise CommandError(
            f"{name} {text}: right is a number of degrees, such as 68.23420, or - for none."
        ) from None
