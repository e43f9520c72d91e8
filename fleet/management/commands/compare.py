"""python manage.py compare MESH [OLD NEW]: what changed between two copies."""

import json
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.management.answers import copy_named, mesh_named
from fleet.management.tables import table
from fleet.mesh.addresses import show_eui64
from fleet.models import Snapshot
from fleet.queries.comparing import Comparison, comparison_of
from fleet.queries.device_changes import HEADINGS, DeviceChange, Group, Side
from fleet.queries.pairs import NoPair, pair_of
from fleet.snapshots.change_words import FACTS, VERDICTS, summary


class Command(BaseCommand):
    help = (
        "Say what changed between two copies of a mesh and what it means for older ones: the newest two sound "
        "copies, or those named. No key is shown, only marks."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("mesh", metavar="MESH", help="the mesh, such as KELP-7-A")
        parser.add_argument(
            "old", nargs="?", default="", metavar="OLD", help="a snapshot's id, or how it begins"
        )
        parser.add_argument(
            "new", nargs="?", default="", metavar="NEW", help="the other; left out: the next sound one"
        )
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        mesh = mesh_named(options["mesh"])
        named = {
            name: str(copy_named(mesh, options[name], name.upper()).uid)
            for name in ("old", "new")
            if options[name]
        }
        try:
            found = comparison_of(mesh, *pair_of(mesh, **named))
        except NoPair as error:
            raise CommandError(str(error)) from None
        if options["json"]:
            self.stdout.write(json.dumps(facts_of(mesh.code, found), indent=1, ensure_ascii=False))
        elif found.difference is not None:
            self.stdout.write(f"{mesh.code}: from {_said(found.old)} to {_said(found.new)}")
            self.stdout.write(summary(found.difference))
            self.tables(found)
        if found.unopened:
            raise CommandError(
                " ".join(f"The copy of {_said(each.copy)}: {each.why}" for each in found.unopened)
            )

    def tables(self, found: Comparison) -> None:
        if found.mesh:
            rows = [
                (FACTS[each.fact], each.before, each.after, VERDICTS[each.older_copies], each.meaning)
                for each in found.mesh
            ]
            self.stdout.write("\n" + table(("what", "before", "after", "older copies are", "because"), rows))
        for group in found.groups:
            self.stdout.write(f"\n{HEADINGS[group.happened]}: {len(group.changes)}")
            self.stdout.write(table(*_table(group)))


def facts_of(code: str, found: Comparison) -> dict[str, Any]:
    difference = found.difference
    return {
        "mesh": code,
        "old": {"snapshot": str(found.old.uid), "taken_at": found.old.taken_at.isoformat()},
        "new": {"snapshot": str(found.new.uid), "taken_at": found.new.taken_at.isoformat()},
        "unopened": [{"snapshot": str(each.copy.uid), "why": each.why} for each in found.unopened],
        "summary": summary(difference) if difference else None,
        "older_copies": difference.older_copies.value if difference else None,
        "in_common": difference.in_common if difference else None,
        "jaccard": round(difference.jaccard, 4) if difference else None,
        "mesh_changes": [asdict(change) for change in found.mesh],
        "device_changes": {
            group.happened.value: [asdict(change) for change in group.changes] for group in found.groups
        },
    }


def _said(copy: Snapshot) -> str:
    return f"{copy.taken_at:%Y-%m-%d %H:%M} UTC ({str(copy.uid)[:8]})"


def _table(group: Group) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    heads = ("EUI-64", "device", "room")
    if group.changes[0].before is None:
        return heads, [_device(change) for change in group.changes]
    rows = [(*_device(change), _side(change.before), _side(change.after)) for change in group.changes]
    return (*heads, "before", "after"), rows


def _device(change: DeviceChange) -> tuple[str, ...]:
    device = change.device
    return show_eui64(device.address), device.label or "unnamed", device.room or "not noted"


def _side(side: Side | None) -> str:
    if side is None:
        return ""
    return f"{side.name} ({side.text})" if side.name else side.text
