"""python manage.py readiness [CODE...]: which home could not be brought back today, and why."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from fleet.management.answers import mesh_named
from fleet.management.tables import table
from fleet.models import Mesh
from fleet.queries.board import rows as worst_first


class Command(BaseCommand):
    help = (
        "Print the readiness of every mesh, or of those named, as the last round found it: worst first, each "
        "with the first failing gate and the cheapest act that lifts it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("codes", nargs="*", metavar="CODE", help="meshes; none: all in care")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        meshes = [mesh_named(code) for code in options["codes"]] or list(
            worst_first(Mesh.objects.filter(in_care=True))
        )
        if options["json"]:
            self.stdout.write(json.dumps([facts_of(mesh) for mesh in meshes], indent=1, ensure_ascii=False))
            return
        rows = [
            (
                mesh.code,
                mesh.get_readiness_display(),
                f"{mesh.minutes_likely} min" if mesh.minutes_likely is not None else "not known",
                mesh.readiness_reason,
                mesh.readiness_act,
            )
            for mesh in meshes
        ]
        self.stdout.write(table(("mesh", "readiness", "back in", "why", "what to do"), rows))


def facts_of(mesh: Mesh) -> dict[str, Any]:
    return {
        "mesh": mesh.code,
        "client": mesh.site.client.name,
        "readiness": mesh.readiness,
        "gate": mesh.readiness_gate,
        "reason": mesh.readiness_reason,
        "act": mesh.readiness_act,
        "minutes": {"low": mesh.minutes_low, "likely": mesh.minutes_likely, "high": mesh.minutes_high},
        "rejoin_minutes": mesh.rejoin_minutes,
        "assessed_at": mesh.assessed_at.isoformat() if mesh.assessed_at else None,
    }
