"""python manage.py plan {make,list,show,move,use}: who drives where, when and with what."""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.plan_facts import headline, move_lines, plan_facts, plan_rows
from fleet.management.progress import Bar
from fleet.management.tables import table
from fleet.management.visit_named import day_typed, person_typed, plan_typed, visit_typed
from fleet.models import VisitPlan
from fleet.models.visit_plan import USUAL_SECONDS
from fleet.planning.visits.moving import Goal
from fleet.queries.clock import book_time
from fleet.queries.visits.pages import plan_shown, plans_shown
from fleet.verbs.visits import force, moving, planning, solving
from fleet.verbs.visits.moving import Answering
from fleet.verbs.visits.planning import Wish
from fleet.verbs.visits.refusing import VisitRefused

WHOLE = 100


class Command(BaseCommand):
    help = (
        "Plan who drives where, show a plan with what is left out and what would have to give, move a visit by hand "
        "(its cost is shown; --save moves it), and put a plan in force."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        made = acts.add_parser("make", help="plan the wanted visits for these days, here and now")
        made.add_argument("first", metavar="FIRST-DAY", help="2027-03-30")
        made.add_argument("last", nargs="?", metavar="LAST-DAY", help="the same day where none is given")
        made.add_argument(
            "--who", action="append", default=[], metavar="USER", help="somebody to send; all without it"
        )
        made.add_argument(
            "--seconds", type=int, default=USUAL_SECONDS, metavar="N", help="how long to look, 1 to 120"
        )
        listed = acts.add_parser("list", help="all plans, newest first")
        shown = acts.add_parser("show", help="one plan, a stop a line")
        used = acts.add_parser("use", help="put a plan in force, or take it out")
        moved = acts.add_parser("move", help="what it costs to move a visit; --save moves it")
        for each in (shown, moved, used):
            each.add_argument("plan", metavar="PLAN", help="the plan's number")
        moved.add_argument("visit", metavar="VISIT", help="the visit (KELP-7/12)")
        moved.add_argument("--to", metavar="USER", help="who goes; without it the visit is left out")
        moved.add_argument("--second", metavar="USER", help="who comes along, where it takes two")
        moved.add_argument(
            "--at", metavar="TIME", help="2027-03-30T09:30 on the home's clock, or as soon after as can be"
        )
        moved.add_argument("--save", action="store_true", help="move it")
        moved.add_argument(
            "--answers", default="", metavar="NAME", help="who answers for a rule of the home that it breaks"
        )
        moved.add_argument("--because", default="", metavar="WORDS", help="why that may be")
        used.add_argument("--end", action="store_true", help="take its days to come out of force")
        for each in (made, moved, used):
            each.add_argument("--by", default="command line", metavar="NAME", help="who does it")
        for each in (made, listed, shown, moved, used):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts: dict[str, Callable[[dict[str, Any]], None]] = {
            "make": self.make,
            "list": self.show_all,
            "show": self.show,
            "move": self.move,
            "use": self.use,
        }
        try:
            acts[options["act"]](options)
        except VisitRefused as error:
            raise CommandError(str(error)) from None

    def make(self, options: dict[str, Any]) -> None:
        first = day_typed(options["first"], "FIRST-DAY")
        last = day_typed(options["last"], "LAST-DAY") if options["last"] else first
        people = [person for name in options["who"] if (person := person_typed(name, "--who"))]
        time = book_time()
        plan = planning.ask(Wish(first, last, people, options["seconds"]), options["by"], time.now)
        bar = None if options["json"] else Bar(self.stderr)
        solving.solve(plan.pk, time.clock, (lambda done: bar.step(done, WHOLE)) if bar else None)
        plan.refresh_from_db()
        self.tell(plan, options["json"])
        if plan.refused:
            raise CommandError(plan.refused)

    def show_all(self, options: dict[str, Any]) -> None:
        plans = [(plan, any(day.in_force for day in plan.days.all())) for plan in plans_shown()]
        if options["json"]:
            facts = [
                {
                    "plan": plan.pk,
                    "first_day": plan.first_day.isoformat(),
                    "last_day": plan.last_day.isoformat(),
                    "state": plan.state,
                    "in_force": in_force,
                    "people": [person.username for person in plan.people.all()],
                }
                for plan, in_force in plans
            ]
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        rows = [
            (
                str(plan.pk),
                f"{plan.first_day} to {plan.last_day}",
                "in force" if in_force else plan.get_state_display().lower(),
                ", ".join(person.username for person in plan.people.all()),
                plan.refused or plan.cut_short,
            )
            for plan, in_force in plans
        ]
        self.stdout.write(table(("plan", "days", "stands", "people", "why"), rows))

    def show(self, options: dict[str, Any]) -> None:
        self.tell(plan_typed(options["plan"]), options["json"])

    def move(self, options: dict[str, Any]) -> None:
        plan, visit = plan_typed(options["plan"]), visit_typed(options["visit"])
        goal = _goal(options, visit.site.time_zone)
        if options["save"]:
            who = Answering(options["answers"], options["because"])
            cost = moving.save_move(plan, visit, goal, plan.version, options["by"], timezone.now(), who)
        else:
            cost = moving.look(plan, visit, goal)
        if options["json"]:
            facts = {
                "travel_minutes": cost.travel_minutes,
                "late_minutes": cost.late_minutes,
                "overtime_minutes": cost.overtime_minutes,
                "broken": [{"rule": each.rule.value, "because": each.because} for each in cost.broken],
                "saved": options["save"],
            }
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        self.stdout.write("\n".join(move_lines(cost)))
        self.stdout.write("It was moved." if options["save"] else "Nothing was saved; --save moves it.")

    def use(self, options: dict[str, Any]) -> None:
        plan = plan_typed(options["plan"])
        if options["end"]:
            plan = force.withdraw(plan, options["by"], timezone.now())
        else:
            plan = force.use(plan, plan.version, options["by"], timezone.now())
        self.tell(plan, options["json"])

    def tell(self, plan: VisitPlan, as_json: bool) -> None:
        shown = plan_shown(plan)
        if as_json:
            self.stdout.write(json.dumps(plan_facts(shown), indent=1, ensure_ascii=False))
            return
        stands = "in force" if shown.in_force else "not in force"
        self.stdout.write(f"Plan {plan.pk}. {headline(shown)} It is {stands}.")
        if plan.cut_short:
            self.stdout.write(f"Cut short. {plan.cut_short}")
        if rows := plan_rows(shown):
            self.stdout.write(table(("day", "who", "visit", "begins", "until", "late", "what for"), rows))
        for each in shown.left_out:
            self.stdout.write(
                f"Left out: {each.visit.code}. {' '.join(one['because'] for one in each.obstacles)}"
            )
            for give in each.gives or ():
                self.stdout.write(f"  It would do: {give['because']}")
        for caution in plan.cautions:
            self.stdout.write(f"Caution: {caution}")


def _goal(options: dict[str, Any], zone: str) -> Goal | None:
    person, second = person_typed(options["to"], "--to"), person_typed(options["second"], "--second")
    if person is None:
        return None
    if not options["at"]:
        raise CommandError("--at: say when, such as 2027-03-30T09:30 on the home's clock.")
    try:
        at = datetime.strptime(options["at"], "%Y-%m-%dT%H:%M").replace(tzinfo=ZoneInfo(zone))
    except ValueError:
        raise CommandError(f"--at {options['at']}: right is a time such as 2027-03-30T09:30.") from None
    return Goal(person.username, at, second.username if second else None)
