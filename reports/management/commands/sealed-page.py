"""python manage.py sealed-page MESH --reason WHY --out FILE --second USER: keys and codes on a page of their own."""

import os
import secrets
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.management.second import add_second, second_named
from reports.verbs.passphrase import DRAWN_OCTETS, drawn_from
from reports.verbs.sealed_page import Asked, SealedPageRefused, make_sealed_page
from sites import access


class Command(BaseCommand):
    help = (
        "Write network key, link keys and install codes of a mesh as a PDF encrypted with AES-256 under a passphrase "
        "that is printed once and kept nowhere. The only paper that shows them; a second person must confirm. Print "
        "it, put it into an envelope of its own, delete the file."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where the PDF goes; new")
        parser.add_argument("--reason", required=True, metavar="WHY", help="why it is made")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who makes it")
        add_second(parser, "who confirms it")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"])
        second = second_named(options, access.may_change)
        passphrase = drawn_from(secrets.token_bytes(DRAWN_OCTETS))
        asked = Asked(options["by"], options["reason"], str(second or ""))
        try:
            out = os.open(options["out"], os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise CommandError(f"--out {options['out']} cannot be written: {error.strerror}") from None
        try:
            made = make_sealed_page(mesh, passphrase, asked, timezone.now())
        except SealedPageRefused as error:
            os.close(out)
            options["out"].unlink()
            raise CommandError(str(error)) from None
        with os.fdopen(out, "wb") as file:
            file.write(made.octets)
        self.stdout.write(f"{options['out']}: {mesh.code}, {made.devices} devices with a key or code")
        self.stdout.write(f"passphrase, shown once: {passphrase}")
        self.stdout.write("Keep page and passphrase in two places, the page in a closed envelope of its own.")
