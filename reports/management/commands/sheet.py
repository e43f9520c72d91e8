"""python manage.py sheet KIND [CODE] --out FILE: issue a sheet of any kind and write its PDF."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named, site_named
from reports.facts.errors import FactsError
from reports.management.stretches_named import digest_named, evidence_named, write_journal
from reports.management.work_named import drill_named, erasure_named, job_named
from reports.models import SheetKind
from reports.queries.subjects import Subject, handover_of, recovery_of
from reports.verbs.issuing import issue

# Which arguments belong to one kind only, by what they are called here and on the command line.
ONLY_FOR = {
    SheetKind.EVIDENCE: {"first": "--from", "until": "--until", "journal": "--journal"},
    SheetKind.JOB: {"radio": "--radio"},
    SheetKind.DRILL: {"date": "--date"},
}
ABOUT = {
    SheetKind.HANDOVER: "a home; name it, such as KELP-7",
    SheetKind.RECOVERY: "a mesh; name it, such as KELP-7-A",
    SheetKind.JOB: "a mesh; name it, such as KELP-7-A",
    SheetKind.DRILL: "a mesh; name it, such as KELP-7-A",
    SheetKind.ERASURE: "a client; write the name as it stands in the book, the mark, or the code of a home",
}


class Command(BaseCommand):
    help = (
        "Issue a hand-over sheet or evidence pack of a home; a recovery sheet, job sheet or drill record of a mesh; "
        "the erasure certificate of a client; or the month of the whole book; and write the PDF. Where not one printed "
        "fact has changed since the last, that one is given again under its own number."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("kind", choices=SheetKind.values, help="which sheet")
        parser.add_argument(
            "code",
            metavar="CODE",
            nargs="?",
            default="",
            help=(
                "the home (KELP-7), the mesh (KELP-7-A), the client (name or mark), or the month (2027-02; without it "
                "the last whole one)"
            ),
        )
        parser.add_argument(
            "--from", dest="first", default="", metavar="DATE", help="evidence: its first day"
        )
        parser.add_argument("--until", default="", metavar="DATE", help="evidence: its last day (yesterday)")
        parser.add_argument(
            "--journal", type=Path, metavar="FILE", help="evidence: where the lines of its annex go, as JSON"
        )
        parser.add_argument("--radio", default="", metavar="CODE", help="job: the radio that is to take over")
        parser.add_argument("--date", default="", metavar="DAY", help="drill: its day (the newest drill)")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where the PDF goes")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who issues it")
        parser.add_argument("--json", action="store_true", help="print number, revision and digests as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        subject = self.subject(SheetKind(options["kind"]), options)
        try:
            sheet = issue(subject, options["by"], timezone.now())
        except FactsError as error:
            raise CommandError(f"Nothing was issued. {error}") from None
        with sheet.file.open("rb") as held:
            body = held.read()
        out: Path = options["out"]
        try:
            out.write_bytes(body)
        except OSError as error:
            raise CommandError(f"--out {out} cannot be written: {error.strerror}") from None
        if options["journal"]:
            write_journal(subject, options["journal"])
        facts = {
            "number": sheet.number,
            "kind": sheet.kind,
            "code": subject.code,
            "revision": sheet.revision,
            "pages": sheet.pages,
            "sha256": sheet.sha256,
            "file": str(out),
        }
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1))
        else:
            self.stdout.write(f"{sheet.number}, revision {sheet.revision}, {sheet.pages} pages: {out}")

    def subject(self, kind: SheetKind, options: dict[str, Any]) -> Subject:
        """What is asked for; CommandError names the argument that is wrong."""
        for only, arguments in ONLY_FOR.items():
            for name, written in arguments.items():
                if only is not kind and options[name]:
                    raise CommandError(
                        f"{written} {options[name]}: only the {only.label.lower()} takes it; leave it out."
                    )
        return _subject(kind, options["code"], options)


def _subject(kind: SheetKind, code: str, options: dict[str, Any]) -> Subject:
    if kind is SheetKind.EVIDENCE:
        return evidence_named(code, options["first"], options["until"])
    if kind is SheetKind.DIGEST:
        return digest_named(code)
    if not code:
        raise CommandError(f"CODE: a {kind.label.lower()} is about {ABOUT[kind]}.")
    if kind is SheetKind.JOB:
        return job_named(code, options["radio"])
    if kind is SheetKind.DRILL:
        return drill_named(code, options["date"])
    if kind is SheetKind.ERASURE:
        return erasure_named(code)
    return handover_of(site_named(code)) if kind is SheetKind.HANDOVER else recovery_of(mesh_named(code))
