"""python manage.py visits {list,due,want,pin,waive,forecast,end}: stops that are wanted at homes."""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import code_typed, site_named
from fleet.management.plan_facts import due_facts, visit_facts, when_of
from fleet.management.tables import table
from fleet.management.visit_named import day_typed, person_typed, visit_typed
from fleet.models import Visit, VisitState
from fleet.planning.estimating import EstimateError, ThreePoints
from fleet.planning.visits.request import WAIVABLE, Rule
from fleet.planning.visits.terms_text import TermsError, read_counts, read_windows, read_words
from fleet.queries.visits.due import due_visits
from fleet.queries.visits.pages import visit_named, visits_wanted
from fleet.verbs.visits import wanting
from fleet.verbs.visits.refusing import VisitRefused
from fleet.verbs.visits.wanting import Terms


class Command(BaseCommand):
    help = (
        "List the visits that are wanted and the work that is due, want a visit, pin it, leave a rule of the home "
        "aside by name, note a forecast, and say how a visit ended."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="those that are wanted, with their day where they have one")
        due = acts.add_parser("due", help="work that is due and not wanted yet, joined into trips")
        want = acts.add_parser("want", help="want what is due, or a visit for other work")
        want.add_argument("home", nargs="?", default="", metavar="HOME", help="the home (KELP-7)")
        want.add_argument(
            "--due",
            nargs="*",
            metavar="KEY",
            help="what is due by its keys (swap:KELP-7-A); none: all of the home",
        )
        want.add_argument("--for", dest="words", default="", metavar="WORDS", help="what is to be done")
        want.add_argument(
            "--minutes", metavar="N or N,N,N", help="how long it takes: likely, or at least, likely, at most"
        )
        want.add_argument(
            "--window",
            action="append",
            default=[],
            metavar="TIME",
            help="2027-03-30 09:00-12:00 on the home's clock",
        )
        want.add_argument("--people", type=int, default=1, metavar="N", help="1 or 2")
        want.add_argument("--licence", default="", metavar="WORDS", help="kinds of licences, such as mains")
        want.add_argument("--skill", default="", metavar="WORDS", help="skills, such as ladder")
        want.add_argument("--part", default="", metavar="FAMILY=N", help="radios to bring")
        want.add_argument("--late-after", metavar="TIME", help="2027-03-30T17:00 on the home's clock")
        want.add_argument("--worth", type=int, metavar="N", help="against other visits, 0 to 100")
        want.add_argument("--daylight", action="store_true", help="between sunrise and sunset only")
        want.add_argument(
            "--not-before-rest", action="store_true", help="not on the day before a day of rest"
        )
        pin = acts.add_parser(
            "pin", help="bind a visit to a person, a time or both; without either it is free"
        )
        pin.add_argument("--to", metavar="USER", help="only this person")
        pin.add_argument("--at", metavar="TIME", help="2027-03-30T09:00 on the home's clock")
        waive = acts.add_parser(
            "waive", help="leave a rule of the home aside; somebody answers for it by name"
        )
        waive.add_argument("--rule", required=True, choices=sorted(rule.value for rule in WAIVABLE))
        waive.add_argument("--name", required=True, metavar="NAME", help="who answers for it")
        waive.add_argument("--because", required=True, metavar="WORDS", help="why")
        fore = acts.add_parser("forecast", help="note the lowest temperature that is forecast at a home")
        fore.add_argument("home", metavar="HOME")
        fore.add_argument("day", metavar="DAY", help="2027-03-30 by the home's calendar")
        fore.add_argument("lowest", type=int, metavar="N", help="°C")
        ended = acts.add_parser("end", help="say that a visit was made, or is not wanted any more")
        ended.add_argument("--dropped", action="store_true", help="it is not wanted any more")
        ended.add_argument("--because", default="", metavar="WORDS", help="why")
        for each in (pin, waive, ended):
            each.add_argument("visit", metavar="VISIT", help="the visit (KELP-7/12)")
        for each in (want, pin, waive, fore, ended):
            each.add_argument("--by", default="command line", metavar="NAME", help="who does it")
        for each in (listed, due, want, pin, waive, ended):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts: dict[str, Callable[[dict[str, Any]], None]] = {
            "list": self.show_wanted,
            "due": self.show_due,
            "want": self.want,
            "pin": self.pin,
            "waive": self.waive,
            "forecast": self.forecast,
            "end": self.end,
        }
        try:
            acts[options["act"]](options)
        except (VisitRefused, TermsError, EstimateError) as error:
            raise CommandError(str(error)) from None

    def show_wanted(self, options: dict[str, Any]) -> None:
        wanted = visits_wanted()
        if options["json"]:
            self.stdout.write(
                json.dumps([visit_facts(each) for each in wanted], indent=1, ensure_ascii=False)
            )
            return
        rows = [
            (
                each.row.code,
                str(each.row.minutes_likely),
                when_of(each.stop, each.row),
                each.row.site.client.name,
                "; ".join(str(task) for task in each.row.tasks.all()),
            )
            for each in wanted
        ]
        self.stdout.write(table(("visit", "minutes", "when", "client", "what for"), rows))

    def show_due(self, options: dict[str, Any]) -> None:
        due = due_visits(timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps([due_facts(trip) for trip in due], indent=1, ensure_ascii=False))
            return
        rows = [
            (
                trip.site.code,
                str(round(trip.minutes.likely)),
                f"{trip.due_at.astimezone(ZoneInfo(trip.site.time_zone)):%Y-%m-%d}"
                if trip.due_at
                else "none",
                trip.keys,
                " ".join(work.because for work in trip.work),
            )
            for trip in due
        ]
        self.stdout.write(table(("home", "minutes", "due", "keys", "why"), rows))

    def want(self, options: dict[str, Any]) -> None:
        by, now = options["by"], timezone.now()
        keys = [_key(each) for each in options["due"] or ()]
        if keys:
            if options["words"] or options["home"]:
                raise CommandError("--due with keys says which homes; give neither HOME nor --for with it.")
            made = wanting.want_due(keys, by, now)
        else:
            if not options["home"]:
                raise CommandError("HOME: name the home, or what is due with --due KEY.")
            site = site_named(options["home"])
            zone = ZoneInfo(site.time_zone)
            terms = Terms(
                _minutes(options["minutes"]),
                read_windows("\n".join(options["window"]), zone),
                options["people"],
                read_words(options["licence"]),
                read_words(options["skill"]),
                read_counts(options["part"]),
                _moment(options["late_after"], zone, "--late-after"),
                options["worth"],
                options["not_before_rest"],
                options["daylight"],
            )
            made = [wanting.want(site, options["words"], terms, by, now, options["due"] is not None)]
        for visit in made:
            self.tell(visit, options["json"])

    def pin(self, options: dict[str, Any]) -> None:
        visit = visit_typed(options["visit"])
        at = _moment(options["at"], ZoneInfo(visit.site.time_zone), "--at")
        person = person_typed(options["to"], "--to")
        self.tell(wanting.pin(visit, person, at, options["by"], timezone.now()), options["json"])

    def waive(self, options: dict[str, Any]) -> None:
        visit, rule = visit_typed(options["visit"]), Rule(options["rule"])
        wanting.waive(visit, rule, options["name"], options["because"], options["by"], timezone.now())
        self.tell(visit, options["json"])

    def forecast(self, options: dict[str, Any]) -> None:
        site, day = site_named(options["home"]), day_typed(options["day"], "DAY")
        wanting.foretell(site, day, options["lowest"], options["by"], timezone.now())
        self.stdout.write(f"{site.code}: {options['lowest']} °C at the lowest on {day}.")

    def end(self, options: dict[str, Any]) -> None:
        state = VisitState.DROPPED if options["dropped"] else VisitState.DONE
        visit = visit_typed(options["visit"])
        self.tell(
            wanting.end(visit, state, options["because"], options["by"], timezone.now()), options["json"]
        )

    def tell(self, visit: Visit, as_json: bool) -> None:
        shown = visit_named(visit.uid)
        if as_json:
            self.stdout.write(json.dumps(visit_facts(shown), indent=1, ensure_ascii=False))
            return
        row = shown.row
        self.stdout.write(
            f"{row.code} {row.site.client.name}: {row.get_state_display().lower()}, {row.minutes_likely} minutes, "
            f"{when_of(shown.stop, row)}; {'; '.join(str(task) for task in row.tasks.all())}."
        )


def _key(text: str) -> str:
    kind, _, code = text.partition(":")
    return f"{kind.strip().lower()}:{code_typed(code)}" if code else text


def _minutes(text: str | None) -> ThreePoints | None:
    if not text:
        return None
    try:
        given = [float(each) for each in text.split(",")]
    except ValueError:
        given = []
    if len(given) == 1:
        return ThreePoints(given[0], given[0], given[0])
    if len(given) != 3:
        raise CommandError(f"--minutes {text}: right is one number, or three with commas, such as 45,60,90.")
    return ThreePoints(*given)


def _moment(text: str | None, zone: ZoneInfo, argument: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%dT%H:%M").replace(tzinfo=zone)
    except ValueError:
        raise CommandError(f"{argument} {text}: right is a time such as 2027-03-30T09:30.") from None
