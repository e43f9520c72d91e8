"""python manage.py what-if: which meshes a change would put into another state, before anything is changed."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.management.progress import Bar
from fleet.management.tables import table
from fleet.management.what_if_facts import facts_of, hours_of
from fleet.planning import supposing_text as text
from fleet.planning.supposing import USUAL_WAIT_DAYS, SupposingError, Supposition
from fleet.planning.supposing_words import headline, meshes, rate_in_words, staying
from fleet.queries.clock import book_time
from fleet.queries.supposals import Sums, sums_of
from fleet.queries.supposed_rows import Supposed, found_in_book
from fleet.queries.supposing import Found, suppose

OPTIONS = {"taken": "without", "drill_days": "drill-days", "point_hours": "point-hours", "place": "spare"}
OPTIONS |= {"wait_days": "wait-days"}
NOT_SAID = "none"
LONGEST_COUNT = 5


class Command(BaseCommand):
    help = (
        "Suppose other spares, another drill interval, recovery point or firmware policy, and see which meshes would "
        "be in another state, and the hours of outage to expect in a year. Nothing is written."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--spare", action="append", default=[], metavar="MODEL@VERSION=COUNT@PLACE", help="spares added"
        )
        parser.add_argument(
            "--without", action="append", default=[], metavar="CODE", help="a spare taken away"
        )
        parser.add_argument("--drill-days", type=int, metavar="N", help="a drill every N days, in every home")
        parser.add_argument(
            "--point-hours", type=int, metavar="N", help="the newest sound copy may be N hours old"
        )
        parser.add_argument(
            "--firmware", action="append", default=[], metavar="MODEL@VERSION=POLICY", help=text.POLICIES
        )
        parser.add_argument(
            "--price", action="append", default=[], metavar="MODEL=PRICE", help="of one added spare"
        )
        parser.add_argument(
            "--wait-days",
            default=str(USUAL_WAIT_DAYS),
            metavar="N",
            help=f"days until a new radio is here, or {NOT_SAID} (the waits are then not counted); {USUAL_WAIT_DAYS}",
        )
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        now = book_time().now
        try:
            supposed = found_in_book(supposition(options))
        except SupposingError as error:
            option = OPTIONS.get(error.field, error.field)
            raise CommandError(f"--{option}: {error}" if option else str(error)) from None
        found = suppose(supposed, now, None if options["json"] else Bar(self.stderr).step)
        sums = sums_of(supposed.change, found.tally)
        if options["json"]:
            facts = facts_of(supposed, found, sums, now)
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(lines(supposed, found, sums)))


def supposition(options: dict[str, Any]) -> Supposition:
    """What the arguments say. Raises SupposingError."""
    prices = dict(map(text.read_price, options["price"]))
    added = tuple(text.read_spare(each, prices) for each in options["spare"])
    idle = next((model for model in prices if model not in {each.model for each in added}), None)
    if idle:
        raise SupposingError("price", f"No spare of the model {idle} is added; add one with --spare.")
    change = Supposition(
        added=added,
        taken=tuple(dict.fromkeys(code.strip() for code in options["without"])),
        drill_days=options["drill_days"],
        point_hours=options["point_hours"],
        policies=tuple(map(text.read_policy, options["firmware"])),
        wait_days=_wait(options["wait_days"]),
    )
    if change.is_empty:
        raise SupposingError("", "Nothing is supposed yet: give at least one change, see --help.")
    return change


def _wait(typed: str) -> int | None:
    if typed == NOT_SAID:
        return None
    if not typed.isdecimal() or len(typed) > LONGEST_COUNT:
        raise SupposingError("wait_days", f"“{typed}” is no count of days; write a number, or {NOT_SAID}.")
    return int(typed)


def lines(supposed: Supposed, found: Found, sums: Sums) -> list[str]:
    """For the terminal: the answer in one sentence, what changes, what stays, the money, and what is in no sum."""
    told = [headline(supposed.words, found.tally)]
    if found.changed:
        rows = [
            (
                each.mesh.code,
                each.before.readiness.state.words,
                each.after.readiness.state.words,
                hours_of(each),
                each.before.readiness.reason,
                each.after.readiness.reason,
            )
            for each in worst_first(found)
        ]
        told.append(f"{meshes(len(found.changed))} in {homes(found)} would be in another state:")
        told.append(table(("mesh", "is", "would be", "hours a year", "why it is", "why it would be"), rows))
    if stay := staying(found.tally):
        told.append(f"In the state that they are in stay {stay}.")
    told += _money(sums)
    told += [
        f"Not counted in the hours: {meshes(count)}, {why}." for why, count in found.tally.left_out.items()
    ]
    told += [
        f"Could not be judged: {each.mesh}, {each.error} ({each.id} in the log)." for each in found.troubles
    ]
    told += [f"Counted with {rate_in_words(rate)}." for rate in found.tally.rates_used]
    return [*told, "Nothing was saved."]


def worst_first(found: Found) -> list[Any]:
    """The changed meshes, the worst outcome first."""
    return sorted(found.changed, key=lambda each: (each.after.readiness.state.severity, each.mesh.code))


def homes(found: Found) -> str:
    """In how many homes a mesh changes."""
    count = len({each.mesh.site_id for each in found.changed})
    return "1 home" if count == 1 else f"{count:,} homes"


def _money(sums: Sums) -> list[str]:
    said = []
    if sums.before is not None and sums.after is not None:
        said.append(
            f"Joining by hand a year: {sums.before:,} {sums.currency} now, {sums.after:,} {sums.currency} then."
        )
    if sums.price is not None:
        said.append(f"The spares cost {sums.price:,} {sums.currency}, once.")
    return said
