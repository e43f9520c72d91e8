"""python manage.py travel {show,look,use,end}: the firm's own minutes between places, in place of great circles."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.planning.visits.reading_matrix import MatrixError
from fleet.queries.travel import MatrixLook, look_at, look_at_row, matrix_in_force
from fleet.verbs import travel as verbs

MISSING_SHOWN = 20


class Command(BaseCommand):
    help = (
        "show: what plans drive by. look: what a file would do; nothing is written. use: plans drive by it from now "
        "on. end: plans drive by great circles again. Columns of the file (CSV, UTF-8): from, to, minutes, and if "
        "wanted hours (07:00-09:00); places are the codes of homes, and user names for bases."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        shown = acts.add_parser("show", help="what plans drive by")
        looked = acts.add_parser("look", help="what a file would do")
        used = acts.add_parser("use", help="put a file in force")
        ended = acts.add_parser("end", help="back to great circles")
        for each in (looked, used):
            each.add_argument("file", metavar="FILE", type=Path)
        for each in (used, ended):
            each.add_argument("--by", required=True, metavar="NAME", help="who decides it")
        for each in (shown, looked, used, ended):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        held, by = matrix_in_force(), options.get("by", "")
        try:
            if options["act"] == "look":
                self.tell(look_at(_octets(options["file"])), options["json"])
                return
            if options["act"] == "use":
                held = verbs.use(_octets(options["file"]), held, by, timezone.now())
            elif options["act"] == "end":
                if held is None:
                    raise CommandError("Nothing was written: no minutes of the firm's own are in force.")
                verbs.end(held, by, timezone.now())
                held = None
        except MatrixError as error:
            raise CommandError(f"Nothing was written. {error}") from None
        except verbs.TravelRefused as error:
            raise CommandError(f"Nothing was written. {error}") from None
        self.tell(look_at_row(held) if held else None, options["json"])

    def tell(self, look: MatrixLook | None, as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps(_facts(look), indent=1, ensure_ascii=False))
        elif look is None:
            self.stdout.write("Plans drive by great circles: no minutes of the firm's own are in force.")
        else:
            self.stdout.write(f"{look.ways} ways with minutes of their own.")
            for each in look.slow:
                way = f"{each.way[0]} to {each.way[1]}"
                pace = f"{each.band}: {each.pace:.0%} of a free road's pace on every way"
                self.stdout.write(f"{pace}; told wrongest: {way}, by {each.off:+.1f} min.")
            if look.missing:
                named = ", ".join(f"{one} to {other}" for one, other in look.missing[:MISSING_SHOWN])
                more = " and more" if len(look.missing) > MISSING_SHOWN else ""
                self.stdout.write(f"{len(look.missing)} ways by great circle still: {named}{more}.")


def _facts(look: MatrixLook | None) -> dict[str, Any]:
    if look is None:
        return {"ways": 0, "slow": [], "missing": []}
    return {
        "ways": look.ways,
        "slow": [
            {
                "hours": str(each.band),
                "pace": round(each.pace, 3),
                "wrongest": each.way,
                "off": round(each.off, 1),
            }
            for each in look.slow
        ],
        "missing": look.missing,
    }


def _octets(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"FILE {path}: {error.strerror or error}.") from None
