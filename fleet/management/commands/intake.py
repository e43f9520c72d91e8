"""python manage.py intake --mesh CODE FILE...: take snapshot documents in."""

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.models import How
from fleet.queries.sealed import Erased
from fleet.verbs.intake import Kind, Origin, Receipt, receive

WORDS = {Kind.STORED: "taken in", Kind.REPEATED: "was here before", Kind.TRAYED: "waits in the tray"}


class Command(BaseCommand):
    help = (
        "Take snapshot documents in for one mesh: read, check and seal each, and say what was found. "
        "What cannot be read is kept, sealed, in the tray. Exit status 0 only when every document was taken in "
        "and none is held."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mesh", required=True, metavar="CODE", help="the mesh, such as KELP-7-A")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who takes them in")
        parser.add_argument("--json", action="store_true", help="print the receipts as JSON")
        parser.add_argument("files", nargs="+", type=Path, metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"], "--mesh")
        answers = [self.take(mesh, path, options["by"]) for path in options["files"]]
        if options["json"]:
            self.stdout.write(json.dumps(answers, indent=1, ensure_ascii=False))
        else:
            for answer in answers:
                self.tell(answer)
        bad = sum(not answer["ok"] for answer in answers)
        if bad:
            raise CommandError(f"{bad} of {len(answers)} documents need a look.", returncode=1)

    def take(self, mesh: Any, path: Path, by: str) -> dict[str, Any]:
        """One file through the intake. A file that cannot be opened is an answer too, not an end."""
        try:
            size = path.stat().st_size
            if size > settings.INTAKE_LIMIT:
                return refused(path, f"{size} octets; at most {settings.INTAKE_LIMIT} are taken")
            body = path.read_bytes()
        except OSError as error:
            return refused(path, f"cannot be opened: {error.strerror}")
        try:
            receipt = receive(mesh, body, Origin(How.COMMAND, by, path.name), timezone.now())
        except Erased as error:
            return refused(path, str(error))
        return answer(path, receipt)

    def tell(self, answer: dict[str, Any]) -> None:
        self.stdout.write(f"{answer['file']}: {answer['outcome']}")
        for problem in answer["problems"]:
            self.stdout.write(f"  {problem}")


def refused(path: Path, why: str) -> dict[str, Any]:
    return {"file": str(path), "outcome": f"not taken in: {why}", "ok": False, "problems": []}


def answer(path: Path, receipt: Receipt) -> dict[str, Any]:
    """What the sender needs to know of one document, in plain values."""
    if receipt.kind is Kind.TRAYED:
        item = receipt.tray_item
        lines = [f"{row['path']}: {row['value']} - right is {row['expected']}" for row in item.problems]
        outcome = f"waits in the tray ({item.get_reason_display().lower()})"
        return {"file": str(path), "outcome": outcome, "ok": False, "tray": str(item.uid), "problems": lines}
    snapshot = receipt.snapshot
    lines = [f"{row.severity} {row.code} {row.path}: {row.message}" for row in receipt.findings]
    return {
        "file": str(path),
        "outcome": f"{WORDS[receipt.kind]}, {snapshot.get_grade_display().lower()}",
        "ok": snapshot.grade != "held",
        "snapshot": str(snapshot.uid),
        "taken_at": snapshot.taken_at.isoformat(),
        "problems": lines,
    }
