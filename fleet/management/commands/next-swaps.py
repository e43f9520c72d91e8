"""python manage.py next-swaps {list,ask,support}: which radio is worth swapping next, and why."""

import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.management.tables import table
from fleet.models import RadioModel, Why
from fleet.planning.priority_words import because_of, chance_of, headline, lines_of, visit_of, why_not_asked
from fleet.planning.supposing_words import figure
from fleet.queries.clock import book_time
from fleet.queries.rankings import Order, Row, order_of, row_of
from fleet.verbs import rank_swaps
from fleet.verbs.replacing.asking import Wish, ask
from fleet.verbs.replacing.moving import MoveRefused

USUAL_ROWS, MOST_ROWS = 20, 10_000


class Command(BaseCommand):
    help = (
        "Say which radio should be swapped next, and why; ask for that replacement; note when support ends."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="the order; --anew works it out first")
        listed.add_argument("--anew", action="store_true", help="weigh the whole book first")
        listed.add_argument(
            "--top", type=int, default=USUAL_ROWS, metavar="N", help=f"so many rows; {USUAL_ROWS}"
        )
        listed.add_argument("--terms", action="store_true", help="every term of each row")
        listed.add_argument("--json", action="store_true", help="print the facts as JSON")
        asked = acts.add_parser(
            "ask", help="ask for the replacement of a mesh's radio, with its place as the reason"
        )
        asked.add_argument("mesh", metavar="MESH", help="the mesh (KELP-7-A)")
        support = acts.add_parser("support", help="note until when a type of radio is supported")
        support.add_argument("model", metavar="MODEL", help="the code of the type, such as A2")
        support.add_argument("last_day", metavar="DAY", help="the last day, as 2028-05-31")
        support.add_argument("--said-by", required=True, metavar="WORDS", help="who says so")
        for each in (listed, asked, support):
            each.add_argument("--by", default="command line", metavar="NAME", help="who does it")

    def handle(self, *args: Any, **options: Any) -> None:
        {"list": self.show, "ask": self.ask_for, "support": self.support}[options["act"]](options)

    def show(self, options: dict[str, Any]) -> None:
        if not 1 <= options["top"] <= MOST_ROWS:
            raise CommandError(f"--top: it is {options['top']}; write 1 to {MOST_ROWS}.")
        time = book_time()
        if options["anew"]:
            rank_swaps.go_on(rank_swaps.ask(options["by"], time.now).pk, time.clock)
        order = order_of("1", time.now, options["top"])
        if order.ranking is None:
            raise CommandError("Nobody has worked out the order yet; do so with --anew.")
        if options["json"]:
            self.stdout.write(json.dumps(facts_of(order), indent=1, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(lines(order, options["terms"])))

    def ask_for(self, options: dict[str, Any]) -> None:
        mesh = mesh_named(options["mesh"])
        place = row_of(mesh.code)
        if place is None:
            raise CommandError(f"{mesh.code} has no place in the order; work it out with list --anew.")
        if because := why_not_asked(place):
            raise CommandError(because)
        try:
            swap = ask(mesh, Wish(Why.PRECAUTION, because_of(place)), options["by"], timezone.now())
        except MoveRefused as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"Asked for: {swap.mesh.code}, {swap.asked_because}.")

    def support(self, options: dict[str, Any]) -> None:
        model = RadioModel.objects.filter(code__iexact=options["model"]).first()
        if model is None:
            known = ", ".join(RadioModel.objects.values_list("code", flat=True)) or "none yet"
            raise CommandError(f"There is no type of radio {options['model']}; the book has {known}.")
        try:
            day = date.fromisoformat(options["last_day"])
        except ValueError:
            raise CommandError(
                f"DAY: {options['last_day']!r} is no day; write one such as 2028-05-31."
            ) from None
        try:
            row = rank_swaps.say_support(model, day, options["said_by"], options["by"], timezone.now())
        except rank_swaps.SupportError as error:
            raise CommandError(f"--{str(error).replace('said_by', 'said-by', 1)}") from None
        self.stdout.write(f"{model} is supported until {row.last_day}, says {row.said_by}.")


def lines(order: Order, terms: bool) -> list[str]:
    """For the terminal: the answer in one sentence, then a row a mesh, and its terms where they are wanted."""
    told = [headline(order.first.place) if order.first else "Everything here is under way already."]
    if order.is_old:
        told.append("The book was judged since; --anew gives the order as of now.")
    heads = ("place", "mesh", "worth", "act", "chance", "the visit", "what helps first")
    rows = [
        (
            str(row.ranked.place),
            row.ranked.mesh.code,
            figure(row.place.worth),
            _act(row),
            chance_of(row.place),
            visit_of(row.place),
            row.ranked.told["act"],
        )
        for row in order.rows
    ]
    told.append(table(heads, rows))
    if terms:
        for row in order.rows:
            told += ["", *_terms(order, row)]
    return told


def _act(row: Row) -> str:
    return f"under way: {row.swap.stands.words}" if row.swap else row.place.facts.act.words


def _terms(order: Order, row: Row) -> list[str]:
    told = row.ranked.told
    lines = [f"{row.ranked.mesh.code}: {figure(row.place.value, 2)} h in all. Fails: {told['chance']}."]
    return lines + [
        f"  {line.name}: {figure(line.adds, 2)} h ({line.reckoned}; {line.source})"
        for line in lines_of(row.place, order.weights, told)
    ]


def facts_of(order: Order) -> dict[str, Any]:
    """The order as facts."""
    ranking = order.ranking
    return {
        "answer": headline(order.first.place) if order.first else "",
        "as_of": ranking.asked_at.isoformat() if ranking else None,
        "old": order.is_old,
        "rows": [
            {
                "place": row.ranked.place,
                "mesh": row.ranked.mesh.code,
                "act": row.place.facts.act.value,
                "worth": row.place.worth,
                "value_hours": row.place.value,
                "visit_hours": row.place.visit_hours,
                "chance": row.place.chance,
                "terms": {
                    term.name.value: {"adds": term.adds, "known": term.known} for term in row.place.terms
                },
                "not_known": list(row.place.unknown),
                "sources": row.ranked.told,
                "replacement": str(row.swap.uid) if row.swap else None,
            }
            for row in order.rows
        ],
        "errors": ranking.errors if ranking else [],
    }
