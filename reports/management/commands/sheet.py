"""python manage.py sheet {handover,recovery} CODE --out FILE: issue a sheet and write its PDF."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named, site_named
from reports.facts.errors import FactsError
from reports.models import SheetKind
from reports.queries.subjects import handover_of, recovery_of
from reports.verbs.issuing import issue


class Command(BaseCommand):
    help = (
        "Issue a hand-over sheet for a home, or a recovery sheet for a mesh, and write the PDF. Where not one "
        "printed fact has changed since the last, that one is given again under its own number."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "kind", choices=[SheetKind.HANDOVER.value, SheetKind.RECOVERY.value], help="which sheet"
        )
        parser.add_argument("code", metavar="CODE", help="the home (KELP-7) or the mesh (KELP-7-A)")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where the PDF goes")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who issues it")
        parser.add_argument("--json", action="store_true", help="print number, revision and digests as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        kind = SheetKind(options["kind"])
        code = options["code"]
        subject = (
            handover_of(site_named(code)) if kind is SheetKind.HANDOVER else recovery_of(mesh_named(code))
        )
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
