"""python manage.py install-code MESH EUI64, or MESH --from FILE.csv: put install codes of devices away, sealed."""

import csv
import getpass
import json
import sys
from dataclasses import asdict
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.verbs.enter_codes import Line, Told, enter_all

HEADS = ("eui64", "code")
MOST_OCTETS = 1024 * 1024


class Command(BaseCommand):
    help = (
        "Enter the install code of a device. The code is asked for, or read from standard input: never give it as "
        "an argument, as shells keep those. With --from, enter a list: a line for each device, its EUI-64, a comma "
        "(or semicolon) and its code with the four check digits; a first line 'eui64,code' is passed over. All lines "
        "are entered or none; each that cannot be right is named with the reason. Nothing prints a code. "
        "Exit status 0 only when every code was entered or was here before."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        parser.add_argument("eui64", metavar="EUI64", nargs="?", help="the device, by its 64-bit address")
        parser.add_argument(
            "--from", dest="list", type=Path, metavar="FILE", help="a list instead of one device"
        )
        parser.add_argument("--dry-run", action="store_true", help="check everything and write nothing")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who enters them")
        parser.add_argument("--json", action="store_true", help="print the answers as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"])
        if (options["eui64"] is None) == (options["list"] is None):
            raise CommandError("Name one device by its EUI-64, or a list with --from FILE.")
        lines = lines_of(options["list"]) if options["list"] else [Line(1, options["eui64"], asked_for())]
        told = enter_all(mesh, lines, options["by"], timezone.now(), options["dry_run"])
        if options["json"]:
            self.stdout.write(json.dumps([asdict(each) for each in told], indent=1, ensure_ascii=False))
        else:
            self.tell(told, options["list"] is not None, options["dry_run"])
        bad = sum(not each.ok for each in told)
        if bad:
            raise CommandError(f"{bad} of {len(told)} cannot be right; nothing was written.")

    def tell(self, told: list[Told], is_list: bool, dry_run: bool) -> None:
        for each in told:
            where = f"line {each.line}: " if is_list else ""
            device = f"{each.device}: " if each.device else ""
            self.stdout.write(f"{where}{device}{each.outcome}{f'; but {each.doubt}' if each.doubt else ''}")
        if dry_run:
            self.stdout.write("Dry run: nothing was written.")
        elif is_list and all(each.ok for each in told):
            self.stdout.write("The list holds the codes in clear: erase it now.")


def asked_for() -> str:
    """The code from whoever sits there, unseen, or from standard input."""
    return (
        getpass.getpass("Install code, with its check digits: ")
        if sys.stdin.isatty()
        else sys.stdin.readline()
    )


def lines_of(path: Path) -> list[Line]:
    """The list's lines, or CommandError; no message repeats anything that stands in it."""
    try:
        if path.stat().st_size > MOST_OCTETS:
            raise CommandError(f"--from {path}: larger than {MOST_OCTETS} octets.")
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"--from {path} cannot be opened: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise CommandError(f"--from {path} is no text in UTF-8; save the list as CSV in UTF-8.") from None
    rows = csv.reader(text.splitlines(), delimiter=";" if ";" in text and "," not in text else ",")
    try:
        lines = [line_of(number, row) for number, row in enumerate(rows, 1) if any(map(str.strip, row))]
    except csv.Error:
        raise CommandError(f"--from {path}, line {rows.line_num}: this is no line of a CSV file.") from None
    if lines and (lines[0].address.strip().casefold(), lines[0].code.strip().casefold()) == HEADS:
        del lines[0]
    if not lines:
        raise CommandError(f"--from {path}: no line names a device.")
    return lines


def line_of(number: int, row: list[str]) -> Line:
    """The first two columns; what is missing is empty, and refused by its reason like the rest."""
    address, code = islice((*row, "", ""), 2)
    return Line(number, address, code)
