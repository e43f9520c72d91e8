"""python manage.py restore-file MESH --radio CODE --reason WHY --out FILE: a copy ready to restore."""

import json
import os
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import copy_named, mesh_named
from fleet.management.second import add_second, second_named
from fleet.models import Radio
from fleet.verbs.grant import GrantRefused, Request, restore_document
from sites import access

CAUTION = (
    "One identity, one voice: the old radio must be off, with its battery out, before the new one is powered. "
    "Agree a fall-back for locks, heating and alarms first. This file holds the network key: keep it nowhere else."
)


class Command(BaseCommand):
    help = (
        "Write the newest sound snapshot of a mesh in its original layout, with its counters advanced, ready to "
        "restore onto a radio. The number goes into the counter ledger: run this anew for every attempt, never "
        "use one file twice. A stale, locked-out or doubtful copy needs a second person. The file is made for its "
        "owner only."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        parser.add_argument("--radio", required=True, metavar="CODE", help="the radio it is meant for")
        parser.add_argument(
            "--out", required=True, type=Path, metavar="FILE", help="where the document goes; new"
        )
        parser.add_argument("--reason", required=True, metavar="WHY", help="why it is needed")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who asks")
        add_second(parser, "who confirms a doubtful copy")
        parser.add_argument(
            "--snapshot", default="", metavar="ID", help="another copy than the newest sound one"
        )
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"])
        radio = Radio.objects.filter(code__iexact=options["radio"]).first()
        if radio is None:
            raise CommandError(f"--radio: there is no radio {options['radio']} in this book.")
        second = second_named(options, access.may_change)
        out = self.opened(options["out"])
        request = Request(radio, options["by"], options["reason"], str(second or ""))
        try:
            copy = copy_named(mesh, options["snapshot"], "--snapshot") if options["snapshot"] else None
            grant = restore_document(mesh, request, timezone.now(), copy)
        except (GrantRefused, CommandError) as error:
            os.close(out)
            options["out"].unlink()
            raise CommandError(str(error)) from None
        with os.fdopen(out, "wb") as file:
            file.write(grant.document)
        facts = {
            "mesh": mesh.code,
            "radio": radio.code,
            "snapshot": str(grant.snapshot.uid),
            "taken_at": grant.snapshot.taken_at.isoformat(),
            "counter": grant.start.value,
            "verdict": grant.start.verdict.value,
            "because": list(grant.start.because),
            "file": str(options["out"]),
        }
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        self.stdout.write(
            f"{options['out']}: snapshot of {grant.snapshot.taken_at:%Y-%m-%d %H:%M} UTC for {radio.code}"
        )
        self.stdout.write(f"counter {grant.start.value:,}: {'; '.join(grant.start.because)}")
        self.stdout.write(CAUTION)

    def opened(self, path: Path) -> int:
        """A new file for its owner only. Opened before the number is given out, so that no number is lost."""
        try:
            return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            raise CommandError(f"--out {path} is there already; name a new file.") from None
        except OSError as error:
            raise CommandError(f"--out {path} cannot be written: {error.strerror}") from None
