"""python manage.py readiness [CODE...]: which home could not be brought back today, and why."""

import json
from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from fleet.management.answers import mesh_named
from fleet.management.tables import table
from fleet.models import Mesh
from fleet.queries.board import rows as worst_first
from fleet.queries.incidents import incidents_in


class Command(BaseCommand):
    help = (
        "Print the readiness of every mesh, or of those named, as the last round found it: worst first, each "
        "with the first failing gate and the cheapest act that lifts it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("codes", nargs="*", metavar="CODE", help="meshes; none: all in care")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        meshes = [mesh_named(code) for code in options["codes"]] or _all_in_care()
        incidents_in(Mesh.objects.filter(pk__in=[mesh.pk for mesh in meshes])).mark(meshes)
        if options["json"]:
            self.stdout.write(json.dumps([facts_of(mesh) for mesh in meshes], indent=1, ensure_ascii=False))
            return
        rows = [
            (
                mesh.code,
                mesh.get_readiness_display(),
                f"{mesh.minutes_likely} min" if mesh.minutes_likely is not None else "not known",
                _why(mesh),
                mesh.what_helps,
            )
            for mesh in meshes
        ]
        self.stdout.write(table(("mesh", "readiness", "back in", "why", "what to do"), rows))


def _all_in_care() -> list[Mesh]:
    """The stranded and the silent first, then worst first."""
    in_care = Mesh.objects.filter(in_care=True)
    return list(worst_first(in_care, incidents=incidents_in(in_care)))


def _why(mesh: Mesh) -> str:
    if mesh.stranded_since:
        return f"Stranded since {_stamp(mesh.stranded_since)}: no radio is known to speak to its devices."
    if mesh.silence:
        return f"Nobody speaks since {_stamp(mesh.silence.since)}: its radio is being replaced."
    return mesh.readiness_reason


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"


def facts_of(mesh: Mesh) -> dict[str, Any]:
    return {
        "mesh": mesh.code,
        "client": mesh.site.client.name,
        "readiness": mesh.readiness,
        "gate": mesh.readiness_gate,
        "reason": mesh.readiness_reason,
        "act": mesh.what_helps,
        "stranded_since": mesh.stranded_since.isoformat() if mesh.stranded_since else None,
        "nobody_speaks_since": mesh.silence.since.isoformat() if mesh.silence else None,
        "minutes": {"low": mesh.minutes_low, "likely": mesh.minutes_likely, "high": mesh.minutes_high},
        "rejoin_minutes": mesh.rejoin_minutes,
        "assessed_at": mesh.assessed_at.isoformat() if mesh.assessed_at else None,
    }
