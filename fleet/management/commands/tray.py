"""python manage.py tray {list,show,clear,send}: what waits in the tray, and what is done about it."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import item_named, mesh_named
from fleet.models import TrayItem, TrayReason
from fleet.queries.tray import home_of, taken_in_as, with_meshes
from fleet.verbs import tray
from fleet.verbs.intake import Kind
from fleet.verbs.tray import TrayRefused


class Command(BaseCommand):
    help = (
        "list: the documents that wait, newest first, or those that have left. "
        "show: why one waits; what it holds stays sealed. "
        "clear: take one out, with a reason. send: take one in for the mesh that it was meant for; its own mesh "
        "reads it once more. Exit status 0 only when it was done, and for send only when the document left the tray."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True, metavar="list|show|clear|send")
        every = acts.add_parser("list", help="what waits")
        every.add_argument("--cleared", action="store_true", help="what has left the tray instead")
        every.add_argument("--mesh", metavar="CODE", help="only what was sent for this mesh")
        one = acts.add_parser("show", help="why a document waits")
        clear = acts.add_parser("clear", help="take a document out")
        send = acts.add_parser("send", help="take a document in for a mesh")
        for act in (one, clear, send):
            act.add_argument("item", metavar="ID", help="as list shows it, or how it begins")
        clear.add_argument("--because", required=True, metavar="WHY", help="why it is cleared")
        clear.add_argument("--erase", action="store_true", help="erase what it holds, for good")
        send.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        for act in (clear, send):
            act.add_argument("--by", default="command line", metavar="NAME", help="who does it")
        for act in (every, one, clear, send):
            act.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            {"list": self.list, "show": self.show, "clear": self.clear, "send": self.send}[options["act"]](
                options
            )
        except TrayRefused as error:
            raise CommandError(str(error)) from None

    def list(self, options: dict[str, Any]) -> None:
        items = with_meshes(TrayItem.objects.filter(cleared_at__isnull=not options["cleared"]))
        if options["mesh"]:
            items = items.filter(mesh=mesh_named(options["mesh"], "--mesh"))
        rows = [told(item) for item in items]
        if options["json"]:
            self.stdout.write(json.dumps(rows, indent=1, ensure_ascii=False))
            return
        for row in rows:
            self.stdout.write(
                f"{row['item'][:8]}  {row['mesh'] or 'no mesh'}  {row['received_at']}  {said(row)}"
            )
        if not rows:
            self.stdout.write(
                "Nothing has left the tray yet." if options["cleared"] else "Nothing waits in the tray."
            )

    def show(self, options: dict[str, Any]) -> None:
        item = item_named(options["item"])
        self.answer(told(item) | ({"next": next_step(item)} if item.cleared_at is None else {}), options)

    def clear(self, options: dict[str, Any]) -> None:
        item = item_named(options["item"])
        tray.clear(item, options["because"], options["by"], timezone.now(), options["erase"])
        self.answer(told(item_named(str(item.uid))), options)

    def send(self, options: dict[str, Any]) -> None:
        mesh = mesh_named(options["mesh"])
        receipt = tray.send_to(item_named(options["item"]), mesh, options["by"], timezone.now())
        if receipt.kind is Kind.TRAYED:
            item = item_named(str(receipt.tray_item.uid))
            self.answer(told(item) | {"next": next_step(item)}, options)
            raise CommandError(f"{mesh.code} could not take it in; it waits there. Next: {next_step(item)}")
        copy = receipt.snapshot
        facts = {"mesh": mesh.code, "outcome": receipt.kind, "snapshot": str(copy.uid), "grade": copy.grade}
        self.answer(facts, options)

    def answer(self, facts: dict[str, Any], options: dict[str, Any]) -> None:
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        for name, value in facts.items():
            for line in value if isinstance(value, list) else [value]:
                self.stdout.write(f"{name.replace('_', ' ')}: {'none' if line is None else line}")


def told(item: TrayItem) -> dict[str, Any]:
    """One document in plain values; nothing of what it holds."""
    facts = {
        "item": str(item.uid),
        "mesh": item.mesh.code if item.mesh else None,
        "reason": item.get_reason_display().lower(),
        "received_at": item.received_at.isoformat(timespec="minutes"),
        "came": f"{item.get_how_display().lower()} by {item.by or 'somebody unnamed'}",
        "file": item.file_name or None,
        "octets": item.size_octets,
        "arrivals": item.arrivals,
        "problems": [f"{row['path']}: {row['value']} - right is {row['expected']}" for row in item.problems],
        "held": item.held,
    }
    if item.cleared_at is not None:
        copy = taken_in_as(item)
        facts |= {
            "cleared_at": item.cleared_at.isoformat(timespec="minutes"),
            "cleared_by": item.cleared_by or None,
            "cleared_because": item.cleared_because or None,
            "snapshot": str(copy.uid) if copy else None,
        }
    return facts


def next_step(item: TrayItem) -> str:
    """What to do about a document that waits, with the command for it."""
    short = str(item.uid)[:8]
    clear = f"tray clear {short} --because WHY"
    if item.reason == TrayReason.UNKNOWN_LAYOUT:
        return (
            "teach the book its layout. With the file that it came from: guide propose FILE --out GUIDE, then guide "
            "save GUIDE FILE; what waits is then read again."
        )
    if item.reason == TrayReason.UNREADABLE:
        return f"have it sent again whole, then {clear}."
    try:
        home = home_of(tray.octets_of(item)) if item.held else None
    except TrayRefused:
        home = None
    if home is None:
        return f"enter the mesh that it names, then tray send {short} MESH; or {clear}."
    return f"tray send {short} {home.code}, whose extended PAN ID it names; or {clear}."


def said(row: dict[str, Any]) -> str:
    """The end of a line of the list."""
    why = f"{row['reason']}, then {row['cleared_because']}" if "cleared_at" in row else row["reason"]
    return f"{why}  {row['file'] or ''}".rstrip()
