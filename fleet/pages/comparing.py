"""Two copies of a mesh side by side, and the lists to choose them from."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.pages import first_lines_over_time as first_lines
from fleet.pages.copy_choices import by_month
from fleet.pages.writing import counted, hex16
from fleet.queries.comparing import Comparison, comparison_of
from fleet.queries.device_changes import HEADINGS, DeviceChange, Group, Happened
from fleet.queries.mesh import mesh_for
from fleet.queries.pairs import MOST_OFFERED, NoPair, offered, pair_of
from fleet.snapshots.change_words import FACTS, VERDICTS
from fleet.snapshots.comparing import MeshChange, OlderCopies
from fleet.snapshots.findings import Severity

IN_THE_OPEN = 30
"""A longer list of devices stays folded until somebody asks for it."""

NOTES = {
    Happened.APPEARED: "The older copy does not know these: restored from it, they must join anew.",
    Happened.VANISHED: "The newer copy no longer lists these.",
    Happened.KEY_CHANGED: "The older copy holds their former keys.",
    Happened.KEY_MISSING: "Restored from the newer copy, these may have to join anew.",
    Happened.KEY_ADDED: "Restored from the older copy, these may have to join anew.",
    Happened.ROLE_CHANGED: "",
    Happened.REPARENTED: "Normal: devices look for a better way to the head radio by themselves.",
    Happened.READDRESSED: "Normal after a device has joined anew.",
}


SEVERITIES = {
    OlderCopies.UNTOUCHED: Severity.NOTE,
    OlderCopies.NEED_RETUNING: Severity.DOUBT,
    OlderCopies.SUSPECT: Severity.DOUBT,
    OlderCopies.LOCKED_OUT: Severity.STOP,
    OlderCopies.OF_ANOTHER_MESH: Severity.STOP,
}


class Noted(NamedTuple):
    """What the book noted of one fact in both copies."""

    name: str
    old: object
    new: object


@dataclass(frozen=True, slots=True)
class Section:
    """The devices that changed in one way, under their heading."""

    anchor: str
    heading: str
    note: str
    changes: tuple[DeviceChange, ...]

    @property
    def is_folded(self) -> bool:
        return len(self.changes) > IN_THE_OPEN

    @property
    def has_sides(self) -> bool:
        return self.changes[0].before is not None


@require_safe
def comparison(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_for(request.user, code, timezone.localdate())
    found, refusal = None, ""
    try:
        found = comparison_of(mesh, *pair_of(mesh, request.GET.get("old", ""), request.GET.get("new", "")))
    except NoPair as error:
        refusal = str(error)
    copies = list(offered(mesh))
    chosen = [found.old, found.new] if found else copies[1::-1]
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "found": found,
        "refusal": refusal,
        "months": list(by_month([*copies, *chosen], ZoneInfo(mesh.site.time_zone))),
        "more": len(copies) if len(copies) == MOST_OFFERED else 0,
        "old": str(chosen[0].uid) if chosen else "",
        "new": str(chosen[-1].uid) if chosen else "",
        "sections": [_section(group) for group in found.groups] if found else [],
        "changes": [_in_words(change) for change in found.mesh] if found else [],
        "noted": list(_noted(found)) if found else [],
        "first_line": first_lines.of_comparison(code, found),
    }
    return render(request, "fleet/compare.html", context)


def _section(group: Group) -> Section:
    happened = group.happened
    return Section(happened.value, HEADINGS[happened], NOTES[happened], group.changes)


def _in_words(change: MeshChange) -> tuple[MeshChange, str, str, str]:
    return change, FACTS[change.fact], VERDICTS[change.older_copies], SEVERITIES[change.older_copies].value


def _noted(found: Comparison) -> Iterator[Noted]:
    """What stands in the rows of both copies, and so is known even where a document does not open."""
    shown = {
        "Grade": lambda copy: copy.get_grade_display().lower(),
        "Currency": lambda copy: copy.get_currency_display().lower(),
        "Custody": lambda copy: copy.get_custody_display().lower(),
        "Devices": lambda copy: copy.node_count,
        "Network key mark": lambda copy: copy.key_mark,
        "Key sequence": lambda copy: copy.key_sequence,
        "Outgoing counter": lambda copy: counted(copy.outgoing_counter),
        "Channel": lambda copy: copy.channel,
        "PAN ID": lambda copy: hex16(copy.pan_id),
        "Layout": lambda copy: copy.layout,
    }
    for name, say in shown.items():
        yield Noted(name, say(found.old), say(found.new))
