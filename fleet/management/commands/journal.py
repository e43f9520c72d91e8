"""python manage.py journal check|head|seal: is the journal the one that was written?"""

import re
from argparse import ArgumentTypeError
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.planning.journal_chain import Break, Head
from fleet.queries.clock import book_time
from fleet.queries.journal_chain import check, entry_at, head, not_chained
from fleet.verbs.journal_chain import seal


class Command(BaseCommand):
    help = (
        "The journal is a chain: each line's digest holds the one before. 'check' reads all of it and names the first "
        "line that is not as it was written (exit status 1). 'head' prints the last place and its digest: write them "
        "down elsewhere, or take them from an evidence pack, and 'check --known' finds lines that were taken from the "
        "end too. 'seal' chains what was written in the last minute."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        ways = parser.add_subparsers(dest="way", required=True, metavar="check|head|seal")
        checking = ways.add_parser("check", help="read all lines and compare")
        checking.add_argument(
            "--known",
            action="append",
            default=[],
            type=_known,
            metavar="PLACE:DIGEST",
            help="a head that was written down elsewhere; may be given several times",
        )
        ways.add_parser("head", help="the last place and its digest")
        ways.add_parser("seal", help="chain what has no place yet")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["way"] == "check":
            self._check(options["known"])
        elif options["way"] == "head":
            ends = head()
            self.stdout.write(f"{ends.place}:{ends.digest}")
        else:
            self.stdout.write(f"{seal(book_time().now)} lines chained.")

    def _check(self, known: list[Head]) -> None:
        ends, broken = check(known)
        if broken is not None:
            raise CommandError(_told(broken))
        loose = not_chained().count()
        tail = f" {loose} newer ones have no place in it yet." if loose else ""
        self.stdout.write(
            f"All {ends.place:,} lines are as they were written; the last is {ends.digest}.{tail}"
        )


def _told(broken: Break) -> str:
    entry = entry_at(broken.place)
    what = (
        f" ({entry.at:%Y-%m-%d %H:%M} UTC, {entry.who}: {entry.what} {entry.subject})".rstrip()
        if entry
        else ""
    )
    return f"The journal does not hold at place {broken.place}{what}: {broken.fault.words}."


def _known(text: str) -> Head:
    found = re.fullmatch(r"([1-9][0-9]{0,17}):([0-9a-fA-F]{64})", text.replace(" ", ""))
    if found is None:
        raise ArgumentTypeError(
            f"{text!r} is no head of the chain; write its place, a colon and 64 hex digits, as 'journal head' does"
        )
    return Head(int(found[1]), found[2].lower())
