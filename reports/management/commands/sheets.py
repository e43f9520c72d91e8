"""python manage.py sheets {stale,remake,hung,verify,link,links}: what became of the sheets that were issued."""

import hashlib
import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.progress import Bar
from fleet.management.tables import table
from fleet.mesh.codes import CodeError, read_sheet_number, sheet_number
from fleet.queries.clock import book_time
from reports.models import Remaking, Sheet, SheetLink
from reports.queries.out_of_date import making, out_of_date, to_be_hung, what_changed
from reports.queries.verifying import MOST_OCTETS, NO_SUCH_FILE, said, verified_file
from reports.verbs import hanging, links, remaking, stale
from reports.verbs.hanging import HangError
from reports.verbs.links import USUAL_DAYS, LinkError


class Command(BaseCommand):
    help = (
        "stale: compare every sheet in force with what the book says now, and list those that are out of date, and the "
        "homes where a sheet that was made anew may not hang yet. "
        "remake: make these anew here, in the foreground. "
        "hung NUMBER: note that this sheet hangs at the home. "
        "verify FILE: whether this PDF was issued here and still holds; exit status 0 only where it does, and for "
        "records (job, drill, erasure, month, evidence), which show their day and are not compared. "
        "link NUMBER: a link that hands one sheet to somebody for a while; it is printed this once. "
        "links: the links that were made, newest first."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        named = {
            name: acts.add_parser(name, help=told)
            for name, told in (
                ("stale", "which sheets are out of date"),
                ("remake", "make them anew"),
                ("hung", "note that one hangs at the home"),
                ("verify", "check a file"),
                ("link", "hand one over by a link"),
                ("links", "list links"),
            )
        }
        named["verify"].add_argument("file", type=Path, metavar="FILE", help="the PDF")
        for name in ("hung", "link"):
            named[name].add_argument(
                "number", metavar="NUMBER", help="the sheet's number, such as H-000012-0"
            )
        named["link"].add_argument("--for", dest="for_whom", required=True, metavar="NAME", help="for whom")
        named["link"].add_argument(
            "--days", type=int, default=USUAL_DAYS, metavar="N", help="days it lasts (14)"
        )
        named["link"].add_argument("--may-sign", action="store_true", help="they may sign through it")
        for name in ("remake", "hung", "link"):
            named[name].add_argument("--by", default="command line", metavar="NAME", help="who asks for it")
        for each in named.values():
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        getattr(self, options["act"])(options)

    def stale(self, options: dict[str, Any]) -> None:
        time = book_time()
        marked = stale.mark_stale(time.now, time.clock)
        facts = [
            {
                "number": sheet.number,
                "kind": sheet.kind,
                "home": sheet.site.code if sheet.site else "",
                "since": _stamp(sheet.stale_since),
                "changed": what_changed(sheet),
            }
            for sheet in out_of_date()
        ]
        old = [_old_on_wall(sheet) for sheet in to_be_hung()]
        told = f"{len(facts)} sheets are out of date; {marked.compared} were compared now."
        found = {"compared": marked.compared, "failed": marked.failed, "sheets": facts, "old_on_walls": old}
        self.tell(options, found, facts, told)
        if not options["json"]:
            homes = len({each["home"] for each in old})
            self.tell(options, None, old, f"{homes} homes have an old sheet on the wall.")
        if marked.failed:
            raise CommandError(f"{marked.failed} sheets could not be compared; the log has the reasons.")

    def remake(self, options: dict[str, Any]) -> None:
        time = book_time()
        begun = remaking.begin(remaking.stale(), options["by"], time.now)
        total = remaking.due(time.now).count()
        bar, done = Bar(self.stderr), 0

        def step() -> None:
            nonlocal done
            done += 1
            if not options["json"]:
                bar.step(done, total)

        remaking.work(time.clock, step=step)
        found = making(Remaking.objects.get(pk=begun.pk), time.clock()) if begun else None
        made, errors = (found.made, len(found.errors)) if found else (0, 0)
        told = f"{made} sheets were made anew, {errors} failed."
        self.tell(options, {"dealt_with": done, "made": made, "errors": errors}, None, told)
        if errors:
            raise CommandError(f"{errors} sheets could not be made anew; the rest are done.")

    def hung(self, options: dict[str, Any]) -> None:
        try:
            sheet = hanging.hang(_sheet_named(options["number"]), options["by"], timezone.now())
        except HangError as error:
            raise CommandError(str(error)) from None
        facts = {"number": sheet.number, "hung_at": _stamp(sheet.hung_at), "hung_by": sheet.hung_by}
        told = f"{sheet.number} hangs there, as {sheet.hung_by} noted on {_stamp(sheet.hung_at)}."
        self.tell(options, facts, None, told)

    def verify(self, options: dict[str, Any]) -> None:
        try:
            octets = options["file"].read_bytes()
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}") from None
        if len(octets) > MOST_OCTETS:
            raise CommandError(
                f"{options['file']} is larger than {MOST_OCTETS} octets; right is the PDF of a sheet."
            )
        sha256 = hashlib.sha256(octets).hexdigest()
        found = verified_file(sha256)
        told = said(found) if found else NO_SUCH_FILE
        facts: dict[str, Any] = {"sha256": sha256, "issued_here": found is not None}
        if found:
            facts |= {
                "number": found.number,
                "revision": found.revision,
                "issued_on": found.issued_on.isoformat(),
                "standing": found.standing.value,
                "since": found.since.isoformat() if found.since else None,
                "replaced_by": found.by,
                "signed": found.signed,
            }
        self.tell(options, facts, None, told)
        if not found or not found.may_be_used:
            raise CommandError(told)

    def link(self, options: dict[str, Any]) -> None:
        sheet = _sheet_named(options["number"])
        if not links.book_address(""):
            raise CommandError("SPAREBOOK_ADDRESS is not set; say there where people find the book.")
        try:
            row, token = links.make(
                sheet,
                options["for_whom"],
                options["days"],
                options["may_sign"],
                options["by"],
                timezone.now(),
            )
        except LinkError as error:
            raise CommandError(str(error)) from None
        address = links.address_of(token, links.book_address(""))
        facts = {"number": sheet.number, "for": row.for_whom, "ends": _stamp(row.expires_at), "link": address}
        self.tell(options, facts, None, f"For {row.for_whom}, until {_stamp(row.expires_at)}:\n{address}")

    def links(self, options: dict[str, Any]) -> None:
        now = timezone.now()
        facts = [
            {
                "number": link.sheet.number,
                "for": link.for_whom,
                "state": "over" if links.is_over(link, now) else "open",
                "opened": link.opens,
                "ends": _stamp(link.expires_at),
                "made_by": link.made_by,
            }
            for link in SheetLink.objects.select_related("sheet__site__client", "sheet__client")
        ]
        self.tell(options, facts, facts, f"{len(facts)} links.")

    def tell(self, options: dict[str, Any], facts: Any, rows: list[dict[str, Any]] | None, told: str) -> None:
        """JSON, or a table of the rows with a sentence."""
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        if rows:
            self.stdout.write(table(tuple(rows[0]), [tuple(map(str, row.values())) for row in rows]))
        self.stdout.write(told)


def _old_on_wall(sheet: Any) -> dict[str, Any]:
    """A home whose wall may hold a sheet that was replaced."""
    return {
        "number": sheet.number,
        "kind": sheet.kind,
        "home": sheet.site.code,
        "since": _stamp(sheet.old_since),
        "takes_the_place_of": sheet.replaces.number,
    }


def _sheet_named(text: str) -> Sheet:
    try:
        number = sheet_number(*read_sheet_number(text))
    except CodeError as error:
        raise CommandError(str(error)) from None
    sheet = Sheet.objects.select_related("site__client", "client", "mesh").filter(number=number).first()
    if sheet is None:
        raise CommandError(f"There is no sheet {number} in this book.")
    return sheet


def _stamp(moment: Any) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"
