"""python manage.py round: one pass over the book, then the papers that are due."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.progress import Bar
from fleet.queries.clock import book_time
from fleet.queries.rounds import changes_of
from fleet.verbs import round as rounds
from fleet.verbs import tell
from reports.verbs import issuing as papers
from reports.verbs import stale


class Command(BaseCommand):
    help = (
        "Run one round over the book: freshness, keep rules, readiness, standing findings, then mark sheets whose "
        "facts have changed and make them anew. Exit status 0 only when no mesh failed."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the report as JSON")
        parser.add_argument(
            "--no-papers", action="store_true", help="mark sheets that are out of date, but make none anew"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        show = None if options["json"] else Bar(self.stderr).step
        time = book_time()
        try:
            report = rounds.run(time.clock, "command line", show, time.off)
        except rounds.AlreadyRunning as error:
            raise CommandError(str(error)) from None
        marked = stale.mark_stale(timezone.now(), time.clock)
        renewed = [] if options["no_papers"] else papers.renew_stale(timezone.now(), by="command line")
        told = tell.tell(book_time().now)
        changed = [
            {"mesh": change.mesh.code, "was": change.was, "became": change.became, "reason": change.reason}
            for change in changes_of(report)
        ]
        facts = {
            "round": report.pk,
            "meshes": report.total,
            "done": report.done,
            "marked": report.marked,
            "erased": report.erased,
            "notice": report.notice,
            "changed": changed,
            "errors": report.errors,
            "sheets_out_of_date": marked.stale,
            "sheets_not_compared": marked.failed,
            "sheets_renewed": [sheet.number for sheet in renewed],
            "messages_written": len(told),
        }
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.stdout.write(
                f"Round {report.pk}: {report.done} of {report.total} meshes, {report.marked} copies marked, "
                f"{report.erased} erased, {len(changed)} changed state, {marked.stale} sheets out of date, "
                f"{len(renewed)} renewed."
            )
            if report.notice:
                self.stdout.write(report.notice)
        if report.errors:
            for error in report.errors:
                self.stderr.write(f"  {error['mesh']}: {error['error']}, number {error['id']} in the log")
            raise CommandError(f"{len(report.errors)} meshes failed; the rest are done.")
