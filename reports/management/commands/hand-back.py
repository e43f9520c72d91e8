"""python manage.py hand-back HOME --out FILE --reason WHY: all that a home's next caretaker needs, encrypted."""

import os
import secrets
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import site_named
from reports.verbs.hand_back import PackRefused, make_pack
from reports.verbs.passphrase import DRAWN_OCTETS, drawn_from


class Command(BaseCommand):
    help = (
        "Write the hand-back pack of a home: the newest sound snapshot of each mesh, its devices, the number to "
        "write, the sheets in force, as an AES-256 encrypted ZIP. The passphrase is printed once and kept nowhere. "
        "An open bill never holds it back."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("home", metavar="HOME", help="the home, such as KELP-7")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where it goes; new")
        parser.add_argument("--reason", required=True, metavar="WHY", help="why it is handed over")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who hands it over")

    def handle(self, *args: Any, **options: Any) -> None:
        site = site_named(options["home"])
        passphrase = drawn_from(secrets.token_bytes(DRAWN_OCTETS))
        try:
            out = os.open(options["out"], os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise CommandError(f"--out {options['out']} cannot be written: {error.strerror}") from None
        try:
            pack = make_pack(site, passphrase, options["reason"], options["by"], timezone.now())
        except PackRefused as error:
            os.close(out)
            options["out"].unlink()
            raise CommandError(str(error)) from None
        with os.fdopen(out, "wb") as file:
            file.write(pack.octets)
        self.stdout.write(f"{options['out']}: {site.code}, {pack.meshes} meshes, {len(pack.octets)} octets")
        self.stdout.write(f"passphrase, shown once: {passphrase}")
        self.stdout.write("Hand file and passphrase over separately. The pack holds network keys.")
