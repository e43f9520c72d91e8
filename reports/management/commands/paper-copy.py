"""python manage.py paper-copy MESH --out FILE --reason WHY: the newest sound copy on paper, sealed."""

import os
import secrets
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from reports.verbs.paper_copy import PaperRefused, print_paper_copy
from reports.verbs.passphrase import DRAWN_OCTETS, drawn_from


class Command(BaseCommand):
    help = (
        "Write the newest sound snapshot of a mesh as a PDF of codes and lines to type, sealed under a passphrase that "
        "is printed once and kept nowhere. paper-restore opens it; so does reports/paper/opening.py alone."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where the PDF goes; new")
        parser.add_argument("--reason", required=True, metavar="WHY", help="why it is printed")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who prints it")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"])
        passphrase = drawn_from(secrets.token_bytes(DRAWN_OCTETS))
        try:
            out = os.open(options["out"], os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise CommandError(f"--out {options['out']} cannot be written: {error.strerror}") from None
        try:
            printed = print_paper_copy(mesh, passphrase, options["reason"], options["by"], timezone.now())
        except PaperRefused as error:
            os.close(out)
            options["out"].unlink()
            raise CommandError(str(error)) from None
        with os.fdopen(out, "wb") as file:
            file.write(printed.octets)
        self.stdout.write(f"{options['out']}: snapshot of {printed.snapshot.taken_at:%Y-%m-%d %H:%M} UTC")
        self.stdout.write(f"passphrase, shown once: {passphrase}")
        self.stdout.write("Keep paper and passphrase in two places.")
