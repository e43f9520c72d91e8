"""python manage.py paper-restore SCANS... --out FILE: a paper copy, photographed or typed, back as a document."""

import getpass
import os
from pathlib import Path
from typing import Any

import zxingcpp
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone
from PIL import Image, UnidentifiedImageError

from reports.paper.opening import PaperError, open_paper
from reports.verbs.paper_restore import restore_paper

CAUTION = (
    "One identity, one voice: the old radio must be off, with its battery out, before the new one is powered. "
    "This file holds the network key: keep it nowhere else."
)
MOST_OCTETS = 64 * 1024 * 1024


class Command(BaseCommand):
    help = (
        "Open a paper copy from photos or scans of its codes (PNG, JPEG...), from their texts, or from typed lines, "
        "and write its document with the counters put forward. The passphrase is asked for, or read from "
        "PAPER_PASSPHRASE. Where this book knows the snapshot, the number is noted in its counter ledger."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "scans", nargs="+", type=Path, metavar="SCANS", help="photos, scans or text files"
        )
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help="where it goes; new")
        parser.add_argument(
            "--attempt", type=int, default=1, metavar="N", help="2 for a second try, and so on"
        )
        parser.add_argument("--by", default="command line", metavar="NAME", help="who restores")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["attempt"] < 1:
            raise CommandError(
                f"--attempt {options['attempt']}: right is 1 for the first try, 2 for the second."
            )
        texts = [text for path in options["scans"] for text in texts_in(path)]
        passphrase = os.environ.get("PAPER_PASSPHRASE") or getpass.getpass("Passphrase: ")
        out: Path = options["out"]
        try:
            handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise CommandError(f"--out {out} cannot be written: {error.strerror}") from None
        try:
            opened = open_paper(texts, passphrase)
            now = timezone.now()
            restored = restore_paper(opened, options["attempt"], options["by"], now)
        except PaperError as error:
            os.close(handle)
            out.unlink()
            raise CommandError(f"Not opened: {error}.") from None
        with os.fdopen(handle, "wb") as file:
            file.write(restored.document)
        noted = (
            "noted in the counter ledger"
            if restored.noted
            else "write it down: this book does not know the mesh"
        )
        self.stdout.write(f"{out}: {opened.mesh}, copy of {opened.taken_at}")
        self.stdout.write(f"counter {restored.number:,}, {noted}")
        self.stdout.write(CAUTION)


def texts_in(path: Path) -> list[str]:
    """The codes that a picture shows, or the text of a text file."""
    try:
        if path.stat().st_size > MOST_OCTETS:
            raise CommandError(f"{path}: larger than {MOST_OCTETS} octets")
        with Image.open(path) as picture:
            return [found.text for found in zxingcpp.read_barcodes(picture.convert("L"))]
    except UnidentifiedImageError:
        return [path.read_text(encoding="utf-8", errors="replace")]
    except (OSError, Image.DecompressionBombError) as error:
        raise CommandError(f"{path} cannot be read: {error}") from None
