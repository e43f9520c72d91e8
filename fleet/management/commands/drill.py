"""python manage.py drill {roster,draw,check,begin,write,step,end}: drills from the terminal."""

import json
import os
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.management.second import add_second, second_named
from fleet.management.tables import table
from fleet.models import DrillDraw, DrillKind, Place, Radio, Rehearsal, RehearsalEnd
from fleet.planning.drilling.setup import Setup
from fleet.planning.drilling.steps import Step
from fleet.queries.drilling.card import DrillCard, card_of
from fleet.queries.drilling.lots import drawn_again, lots_of
from fleet.queries.drilling.roster import Entry, Roster, roster_of
from fleet.queries.restoring import GrantRefused
from fleet.verbs.drilling.bench import DrillRefused, Intent
from fleet.verbs.drilling.holding import begin, end, finish_step, give_out
from fleet.verbs.drilling.lots import NotDrawn, draw_month
from sites import access

ON_A_BENCH = (DrillKind.PAPER.value, DrillKind.BENCH.value)
OWNER_ONLY = 0o600
MESH, MESH_HELP = "MESH", "the mesh (KELP-7-A)"


class Command(BaseCommand):
    help = (
        "Who is due for a drill and what may be claimed; draw the month's lots and check a draw; hold a drill step by "
        "step. A live swap is a replacement and counts by itself."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        roster = acts.add_parser("roster", help="who is due, the worst first, and what may be claimed")
        drawn = acts.add_parser("draw", help="draw this month's lots, once")
        checked = acts.add_parser("check", help="draw a month again from what was kept")
        checked.add_argument("month", metavar="MONTH", help="the month (2027-03)")
        begun = acts.add_parser("begin", help="begin a drill; its clock runs")
        begun.add_argument("mesh", metavar=MESH, help=MESH_HELP)
        begun.add_argument("--kind", choices=ON_A_BENCH, required=True, help="on paper or on the bench")
        begun.add_argument("--radio", metavar="CODE", help="the blank spare that is written")
        begun.add_argument(
            "--place", metavar="PLACE", help="the code of the shelf or van where it is written"
        )
        begun.add_argument("--spot", default="", metavar="WORDS", help="where exactly")
        begun.add_argument(
            "--setup", choices=[each.value for each in Setup], help="how it is kept from radiating"
        )
        begun.add_argument(
            "--nothing-radiates", action="store_true", help="state that nothing radiates and the home is far"
        )
        begun.add_argument(
            "--use-up-address", action="store_true", help="an address that can be written once may be used up"
        )
        written = acts.add_parser("write", help="give out the file for the spare, with numbers of its own")
        written.add_argument("mesh", metavar=MESH, help=MESH_HELP)
        written.add_argument("--out", required=True, type=Path, metavar="FILE", help="where to write it")
        add_second(written, "who agrees to a doubtful copy")
        stepped = acts.add_parser("step", help="say that the step under way is done")
        stepped.add_argument("mesh", metavar=MESH, help=MESH_HELP)
        stepped.add_argument("step", choices=[each.value for each in Step], help="the step that is done")
        stepped.add_argument("--problem", default="", metavar="WORDS", help="what went wrong at it")
        ended = acts.add_parser("end", help="say how it ended")
        ended.add_argument("mesh", metavar=MESH, help=MESH_HELP)
        ended.add_argument("how", choices=RehearsalEnd.values, help="how it ended")
        ended.add_argument("--because", default="", metavar="WORDS", help="what failed, or why it is aborted")
        for each in (drawn, begun, written, stepped, ended):
            each.add_argument("--by", default="command line", metavar="NAME", help="who does it")
        for each in (roster, drawn, checked, begun, written, stepped, ended):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts = {
            "roster": self.on_roster,
            "draw": self.on_draw,
            "check": self.on_check,
            "begin": self.on_begin,
            "write": self.on_write,
            "step": self.on_step,
            "end": self.on_end,
        }
        try:
            acts[options["act"]](options)
        except (DrillRefused, GrantRefused, NotDrawn) as error:
            raise CommandError(f"Nothing was written. {error}") from None

    def on_roster(self, options: dict[str, Any]) -> None:
        found = roster_of(timezone.now())
        if options["json"]:
            self._json(facts_of_roster(found))
            return
        self.stdout.write(f"{found.homes_in_time} of {found.homes} homes were rehearsed in time.")
        claim = found.claim
        if claim.counted:
            self.stdout.write(
                f"Drawn at random and counted: {claim.counted}, failed: {claim.failed}. At most {claim.upper:.1%} "
                f"would fail (95 %, weighted as drawn), {claim.upper_unweighted:.1%} counting every mesh alike. Only "
                "random draws count."
            )
        rows = [
            (
                each.standing.state.value,
                each.mesh.code,
                "drawn" if each.is_drawn else "",
                f"{each.standing.due_at:%Y-%m-%d}" if each.standing.due_at else "now",
                each.standing.because,
            )
            for each in found.entries
        ]
        self.stdout.write(table(("stands", "mesh", "by lot", "due", "why"), rows))

    def on_draw(self, options: dict[str, Any]) -> None:
        self._tell_draw(draw_month(timezone.now(), options["by"]), options["json"])

    def on_check(self, options: dict[str, Any]) -> None:
        try:
            month = date.fromisoformat(f"{options['month']}-01")
        except ValueError:
            raise CommandError(f"MONTH {options['month']}: right is a month such as 2027-03.") from None
        row = DrillDraw.objects.filter(month=month).first()
        if row is None:
            raise CommandError(f"MONTH {options['month']}: no lots were drawn for it.")
        self._tell_draw(row, options["json"])
        if not drawn_again(row):
            raise CommandError("Drawn again it is NOT the same: the rows were changed since.")

    def on_begin(self, options: dict[str, Any]) -> None:
        intent = Intent(
            kind=DrillKind(options["kind"]),
            radio=_radio(options["radio"]),
            place=_place(options["place"]),
            spot=options["spot"],
            setup=Setup(options["setup"]) if options["setup"] else None,
            nothing_radiates=options["nothing_radiates"],
            use_up_address=options["use_up_address"],
        )
        self._tell(begin(mesh_named(options["mesh"]), intent, options["by"], timezone.now()), options)

    def on_write(self, options: dict[str, Any]) -> None:
        row = _under_way(options["mesh"])
        second = second_named(options, access.may_change)
        out = _opened(options["out"])  # before a number is used up
        try:
            grant = give_out(row, options["by"], timezone.now(), str(second) if second else "")
        except BaseException:
            os.close(out)
            options["out"].unlink(missing_ok=True)
            raise
        with os.fdopen(out, "wb") as file:
            file.write(grant.document)
        self._tell(row, options)

    def on_step(self, options: dict[str, Any]) -> None:
        row = _under_way(options["mesh"])
        self._tell(
            finish_step(row, Step(options["step"]), options["problem"], options["by"], timezone.now()),
            options,
        )

    def on_end(self, options: dict[str, Any]) -> None:
        row = _under_way(options["mesh"])
        how = RehearsalEnd(options["how"])
        self._tell(end(row, how, options["because"], options["by"], timezone.now()), options)

    def _tell(self, row: Rehearsal, options: dict[str, Any]) -> None:
        row = Rehearsal.objects.select_related("mesh__site__client", "radio", "drill").get(pk=row.pk)
        card = card_of(row, timezone.now())
        if options["json"]:
            self._json(facts_of(card))
            return
        current = card.current.step.value if card.current else "none"
        self.stdout.write(f"{row.mesh.code}: {row.end or 'under way'}; step under way: {current}.")
        rows = [
            (
                stage.step.value,
                "" if stage.seconds is None else f"{stage.seconds / 60:.1f} min",
                stage.row.problem if stage.row else "",
                stage.told.do,
            )
            for stage in card.stages
        ]
        self.stdout.write(table(("step", "took", "went wrong", "what to do"), rows))
        if row.written_at and not card.is_blank_again and row.radio:
            self.stdout.write(f"{row.radio.code} may hold the live key: wipe it, then prove it blank.")

    def _tell_draw(self, row: DrillDraw, as_json: bool) -> None:
        drawn = list(row.drawn.order_by("place").values_list("mesh__code", flat=True))
        facts = {
            "month": str(row),
            "seed": row.seed,
            "lots": [
                {"mesh": lot.mesh, "trials": lot.trials, "passes": lot.passes, "weight": lot.weight}
                for lot in lots_of(row)
            ],
            "drawn": drawn,
            "drawn_again_the_same": drawn_again(row),
        }
        if as_json:
            self._json(facts)
            return
        same = "the same" if facts["drawn_again_the_same"] else "NOT the same"
        self.stdout.write(f"Drawn for {row}: {', '.join(drawn)}. Seed {row.seed}; drawn again: {same}.")

    def _json(self, facts: dict[str, Any]) -> None:
        self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))


def facts_of(card: DrillCard) -> dict[str, Any]:
    """What is said of one drill to a program."""
    row = card.row
    return {
        "uid": str(row.uid),
        "mesh": row.mesh.code,
        "kind": row.kind,
        "step": card.current.step.value if card.current else None,
        "steps": [
            {
                "step": stage.step.value,
                "seconds": stage.seconds,
                "cut_short": bool(stage.row and stage.row.is_cut_short),
                "problem": stage.row.problem if stage.row else "",
            }
            for stage in card.stages
        ],
        "radio": row.radio.code if row.radio else None,
        "own_pair_only": row.own_pair_only,
        "numbers": [row.range_first, row.range_last] if row.range_first is not None else None,
        "blank_again": card.is_blank_again,
        "end": row.end or None,
        "note": row.note,
    }


def facts_of_roster(found: Roster) -> dict[str, Any]:
    """What is said of the roster to a program."""
    claim = found.claim
    return {
        "homes": found.homes,
        "homes_in_time": found.homes_in_time,
        "claim": {
            "counted": claim.counted,
            "failed": claim.failed,
            "left_over": claim.left_over,
            "waiting": claim.waiting,
            "failing_share_upper": claim.upper,
            "failing_share_upper_unweighted": claim.upper_unweighted,
        },
        "to_rule_out_5_percent": found.to_rule_out,
        "to_wipe": [row.radio.code for row in found.to_wipe if row.radio],
        "meshes": [_facts_of_entry(each) for each in found.entries],
    }


def _facts_of_entry(each: Entry) -> dict[str, Any]:
    due = each.standing.due_at
    return {
        "mesh": each.mesh.code,
        "state": each.standing.state.value,
        "interval_days": each.days,
        "due_at": due.isoformat() if due else None,
        "drawn": each.is_drawn,
        "because": each.standing.because,
    }


def _under_way(code: str) -> Rehearsal:
    mesh = mesh_named(code)
    row = mesh.rehearsals.filter(ended_at=None).first()
    if row is None:
        raise CommandError(f"{mesh.code} has no drill under way; begin one with: drill begin {mesh.code}")
    return row


def _opened(path: Path) -> int:
    """A new file that nobody else on this machine may read: it holds the network key."""
    try:
        return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    except FileExistsError:
        raise CommandError(f"--out {path}: there is such a file already; name another.") from None
    except OSError as error:
        raise CommandError(f"--out {path} cannot be written: {error.strerror}") from None


def _radio(code: str | None) -> Radio | None:
    if not code:
        return None
    radio = Radio.objects.filter(code__iexact=code).first()
    if radio is None:
        raise CommandError(f"--radio {code}: there is no such radio in this book.")
    return radio


def _place(code: str | None) -> Place | None:
    if not code:
        return None
    place = Place.objects.filter(code__iexact=code).first()
    if place is None:
        raise CommandError(f"--place {code}: there is no such place in this book.")
    return place
