"""python manage.py storm: many homes out at once, and who would be back when."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.management.tables import table
from fleet.models import StormExercise
from fleet.planning.storm import asking
from fleet.planning.storm.answer import StormAnswer, answer_from
from fleet.planning.storm.asking import Asked, Strikes
from fleet.planning.storm.case import REST_HOURS, StormError
from fleet.planning.storm.words import headline, helping, span, want_of
from fleet.queries.clock import book_time
from fleet.queries.storm import who_may_go
from fleet.verbs import storm as verbs
from sites.models import Role

OPTIONS = {
    "home": "around",
    "named": "home",
    "people": "goes",
    "places": "spares-at",
    "rest_hours": "rest-hours",
}
HELPS_TOLD = 6


class Command(BaseCommand):
    help = (
        "Suppose many homes without a network at once, and see who would be back when, who would not be for want of a "
        "spare or a person, and what would help most. The exercise is kept; nothing else is changed."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--around", metavar="HOME", help="homes around this one, the nearest first")
        parser.add_argument(
            "--km", type=float, default=asking.USUAL_KM, metavar="N", help="within so many km; 25"
        )
        parser.add_argument("--model", metavar="MODEL", help="homes with this type of radio in service")
        parser.add_argument(
            "--home", action="append", default=[], metavar="HOME", help="a home by name; again for more"
        )
        parser.add_argument(
            "--most", type=int, default=asking.USUAL_HOMES, metavar="N", help="so many homes at most; 20"
        )
        parser.add_argument(
            "--goes", action="append", default=[], metavar="USER", help="who goes; all technicians"
        )
        parser.add_argument(
            "--spares-at", action="append", default=[], metavar="PLACE", help="whose spares count; all"
        )
        parser.add_argument(
            "--rest-hours", type=float, default=REST_HOURS, metavar="N", help="rest between two days; 11"
        )
        parser.add_argument(
            "--runs", type=int, default=asking.USUAL_RUNS, metavar="N", help="played so often; 400"
        )
        parser.add_argument(
            "--seed", type=int, default=1, metavar="N", help="the same seed, the same draws; 1"
        )
        parser.add_argument(
            "--again", type=int, metavar="NUMBER", help="show an exercise that was played before"
        )
        parser.add_argument("--by", default="command line", metavar="NAME", help="who asks")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        row = self.kept(options["again"]) if options["again"] is not None else self.play(options)
        found = answer_from(row.answer)
        if options["json"]:
            facts = {
                "number": row.pk,
                "answer": headline(found),
                "asked": row.asked,
                "as_of": row.asked_at.isoformat(),
            }
            facts |= {"left_out": row.case["left_out"], **found.as_data()}
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(lines(row, found)))

    def play(self, options: dict[str, Any]) -> StormExercise:
        time = book_time()
        try:
            row = verbs.ask(asked_of(options), options["by"], time.now)
        except StormError as error:
            option = OPTIONS.get(error.field, error.field)
            raise CommandError(f"--{option}: {error}") from None
        verbs.play(row.pk, time.clock)
        row.refresh_from_db()
        return row

    def kept(self, number: int) -> StormExercise:
        row = StormExercise.objects.exclude(answer=None).filter(pk=number).first()
        if row is None:
            kept = ", ".join(
                map(str, StormExercise.objects.exclude(answer=None).values_list("pk", flat=True))
            )
            raise CommandError(f"--again: there is no exercise {number}; kept are: {kept or 'none yet'}.")
        return row


def asked_of(options: dict[str, Any]) -> Asked:
    """What the arguments say. Raises StormError."""
    chosen = [name for name in ("around", "model", "home") if options[name]]
    if len(chosen) > 1:
        raise StormError(chosen[1], f"Homes are chosen by --{chosen[0]} already; give one way of choosing.")
    kinds = {"around": Strikes.AROUND, "model": Strikes.MODEL, "home": Strikes.NAMED}
    technicians = (person.username for person in who_may_go() if person.role == Role.TECHNICIAN)
    return Asked(
        strikes=kinds[chosen[0]] if chosen else Strikes.RANDOM,
        people=tuple(dict.fromkeys(options["goes"])) or tuple(technicians),
        most=options["most"],
        home=(options["around"] or "").strip().upper(),
        km=options["km"],
        model=options["model"] or "",
        named=tuple(dict.fromkeys(code.strip().upper() for code in options["home"])),
        places=tuple(options["spares_at"]),
        rest_hours=options["rest_hours"],
        runs=options["runs"],
        seed=options["seed"],
    )


def lines(row: StormExercise, found: StormAnswer) -> list[str]:
    """For the terminal."""
    heads = ("home", "half of the runs", "nine in ten", "safety", "wants for")
    rows = [
        (
            home.home,
            span(home.p50) if home.p50 is not None else "not back",
            span(home.p90) if home.p90 is not None else "not back",
            "yes" if home.safety else "",
            want_of(home),
        )
        for home in found.homes
    ]
    told = [headline(found), f"{row.words}; exercise {row.pk}, seed {row.seed}, played {row.runs} times."]
    told += [table(heads, rows), "What would help most:"]
    told += [f"  {line}" for line in helping(found, HELPS_TOLD)]
    return told + [f"Left out: {line}." for line in row.case["left_out"]]
