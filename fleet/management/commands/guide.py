"""python manage.py guide {test,save} GUIDE FILE...: teach the book a foreign layout by a field guide."""

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.snapshots.decoding import JsonValue, ReadError, decode
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import FieldGuide, from_json, read_with
from fleet.verbs.guides import confirm


class Command(BaseCommand):
    help = (
        "A field guide (field_guide.schema.json) says where each fact stands in a foreign layout. "
        "test: read documents with a guide and say what it finds, without keys; nothing is stored. "
        "save: confirm a guide for the layout of the documents; later ones are read by it, and what waits in the "
        "tray is read again. Exit status 0 only when every document was read."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("act", choices=["test", "save"])
        parser.add_argument("guide", type=Path, metavar="GUIDE", help="the guide's file")
        parser.add_argument("files", nargs="+", type=Path, metavar="FILE", help="documents of the layout")
        parser.add_argument("--by", default="command line", metavar="NAME", help="who confirms it")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        guide = guide_in(options["guide"])
        documents = {path: document_in(path) for path in options["files"]}
        answers = [answer(path, guide, document) for path, document in documents.items()]
        saved = None
        if options["act"] == "save" and all(each["ok"] for each in answers):
            for fingerprint in {layout_fingerprint(document) for document in documents.values()}:
                done = confirm(guide, fingerprint, options["by"], timezone.now())
                saved = {"guide": done.row.name, "version": done.row.version, "taken_in": done.taken_in}
        if options["json"]:
            self.stdout.write(
                json.dumps({"documents": answers, "saved": saved}, indent=1, ensure_ascii=False)
            )
        else:
            self.tell(answers, saved)
        bad = sum(not each["ok"] for each in answers)
        if bad:
            raise CommandError(
                f"{bad} of {len(answers)} documents cannot be read with this guide; nothing was saved."
            )

    def tell(self, answers: list[dict[str, Any]], saved: dict[str, Any] | None) -> None:
        for each in answers:
            self.stdout.write(f"{each['file']}: {'read' if each['ok'] else 'not read'}")
            for line in each["problems"] or [f"{name}: {value}" for name, value in each["facts"].items()]:
                self.stdout.write(f"  {line}")
        if saved:
            self.stdout.write(
                f"Saved as {saved['guide']}, version {saved['version']}; {saved['taken_in']} documents left the tray."
            )


def octets_in(path: Path) -> bytes:
    try:
        if path.stat().st_size > settings.INTAKE_LIMIT:
            raise CommandError(f"{path}: larger than {settings.INTAKE_LIMIT} octets")
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} cannot be opened: {error.strerror}") from None


def guide_in(path: Path) -> FieldGuide:
    try:
        return from_json(octets_in(path))
    except ReadError as error:
        raise CommandError(f"{path} is no field guide: {error}") from None


def document_in(path: Path) -> JsonValue:
    try:
        return decode(octets_in(path))
    except ReadError as error:
        raise CommandError(f"{path} is no document: {error}") from None


def answer(path: Path, guide: FieldGuide, document: JsonValue) -> dict[str, Any]:
    """What the guide finds in one document, never a key."""
    try:
        facts = read_with(guide, document)
    except ReadError as error:
        return {
            "file": str(path),
            "ok": False,
            "facts": {},
            "problems": [str(each) for each in error.problems],
        }
    return {"file": str(path), "ok": True, "facts": shown(facts), "problems": []}


def shown(facts: SnapshotFacts) -> dict[str, Any]:
    return {
        "head address": facts.head_address,
        "extended PAN ID": facts.extended_pan_id,
        "PAN ID": f"0x{facts.pan_id:04X}",
        "channel": facts.channel,
        "network key": "(hidden)",
        "key sequence": facts.key_sequence,
        "outgoing counter": facts.outgoing_counter,
        "taken at": facts.taken_at.isoformat() if facts.taken_at else None,
        "nodes": len(facts.nodes),
        "link keys": sum(node.link_key is not None for node in facts.nodes),
    }
