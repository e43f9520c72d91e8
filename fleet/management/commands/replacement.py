"""python manage.py replacement {list,show,ask,plan,move}: planned swaps of head radios, from the terminal."""

import json
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import mesh_named
from fleet.management.second import add_second, second_named
from fleet.management.tables import table
from fleet.models import Radio, Replacement, Silencing, Why
from fleet.planning.replacing.states import State
from fleet.queries.replacing.card import Card, card_of
from fleet.verbs.replacing.asking import Wish, ask, plan
from fleet.verbs.replacing.moving import MoveRefused, Step, move
from fleet.verbs.replacing.photos import PhotoRefused
from sites import access
from sites.models import Person

BY_COMMAND = [state.value for state in State if state not in (State.ASKED, State.WRITTEN)]


class Command(BaseCommand):
    help = (
        "List replacements, show one with all that stands against it, ask for one, write down what was agreed, and "
        "move one on. The document for the new radio is given out on its card, not here."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="those under way; --all with the ended ones")
        listed.add_argument("--all", action="store_true", help="ended ones too")
        shown = acts.add_parser("show", help="one, with the twelve items and who has answered")
        asked = acts.add_parser("ask", help="write down that a mesh is to have another radio")
        asked.add_argument("--why", required=True, choices=Why.values, help="the kind of reason")
        asked.add_argument("--because", required=True, metavar="WORDS", help="the reason in a few words")
        planned = acts.add_parser("plan", help="write down what was agreed")
        planned.add_argument(
            "--from", dest="begins", metavar="TIME", help="2027-03-29T09:30 on the home's clock"
        )
        planned.add_argument("--until", dest="ends", metavar="TIME", help="when it is to end")
        planned.add_argument("--goes", metavar="USER", help="who goes")
        planned.add_argument("--consent", metavar="NAME", help="who in the house agreed")
        planned.add_argument("--frost", type=int, metavar="N", help="coldest forecast for that day, in °C")
        planned.add_argument(
            "--told", action="store_true", help="the people in the house know the fall-backs"
        )
        planned.add_argument(
            "--way-back-read", action="store_true", help="whether there is a way back was read"
        )
        for each in (asked, planned):
            each.add_argument("--radio", metavar="CODE", help="the radio that is to take over")
        moved = acts.add_parser("move", help="make the next move")
        moved.add_argument("to", choices=BY_COMMAND, help="the state to move to")
        moved.add_argument("--note", default="", metavar="WORDS", help="what happened")
        moved.add_argument("--how", choices=Silencing.values, help="how the radio was silenced")
        moved.add_argument("--photo", type=Path, metavar="FILE", help="a photo of it without its lead")
        moved.add_argument(
            "--without-number", action="store_true", help="the old radio comes back as it stands, and is deaf"
        )
        add_second(moved, "who saw that it is silent, or agrees to a bad hour")
        for each in (shown, asked, planned, moved):
            each.add_argument("mesh", metavar="MESH", help="the mesh (KELP-7-A)")
        for each in (asked, planned, moved):
            each.add_argument("--by", default="command line", metavar="NAME", help="who does it")
        for each in (listed, shown, asked, planned, moved):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts = {
            "list": self.show_all,
            "show": self.show,
            "ask": self.ask,
            "plan": self.plan,
            "move": self.move,
        }
        try:
            acts[options["act"]](options)
        except (MoveRefused, PhotoRefused) as error:
            raise CommandError(f"Nothing was written. {error}") from None

    def show_all(self, options: dict[str, Any]) -> None:
        swaps = Replacement.objects.select_related("mesh__site__client", "old_radio", "new_radio")
        rows = list(swaps if options["all"] else swaps.under_way())
        if options["json"]:
            self.stdout.write(json.dumps([facts_of(swap) for swap in rows], indent=1, ensure_ascii=False))
            return
        told = [
            (
                swap.mesh.code,
                swap.stands.words,
                _code(swap.old_radio),
                _code(swap.new_radio),
                swap.asked_because,
            )
            for swap in rows
        ]
        self.stdout.write(table(("mesh", "stands at", "comes out", "goes in", "why"), told))

    def show(self, options: dict[str, Any]) -> None:
        self.tell(_under_way(options["mesh"]), options["json"])

    def ask(self, options: dict[str, Any]) -> None:
        wish = Wish(options["why"], options["because"], _radio(options["radio"]))
        mesh = mesh_named(options["mesh"])
        self.tell(ask(mesh, wish, options["by"], timezone.now()), options["json"])

    def plan(self, options: dict[str, Any]) -> None:
        swap = _under_way(options["mesh"])
        given = {
            "new_radio": _radio(options["radio"]),
            "begins_at": _moment(options["begins"], swap, "--from"),
            "ends_at": _moment(options["ends"], swap, "--until"),
            "technician": _person(options["goes"]),
            "consent_by": options["consent"],
            "frost_forecast_c": options["frost"],
            "fall_backs_told": options["told"] or None,
            "way_back_read": options["way_back_read"] or None,
        }
        changes = {name: value for name, value in given.items() if value is not None}
        self.tell(plan(swap, changes, options["by"], timezone.now()), options["json"])

    def move(self, options: dict[str, Any]) -> None:
        swap = _under_way(options["mesh"])
        second = second_named(options, access.may_change)
        step = Step(
            to=State(options["to"]),
            seen=swap.stands,
            by=options["by"],
            note=options["note"],
            silencing=Silencing(options["how"]) if options["how"] else None,
            photo=_octets(options["photo"]),
            second=str(second) if second else "",
            without_number=options["without_number"],
        )
        self.tell(move(swap, step, timezone.now()), options["json"])

    def tell(self, swap: Replacement, as_json: bool) -> None:
        card = card_of(swap, timezone.now())
        if as_json:
            self.stdout.write(json.dumps(facts_of(swap, card), indent=1, ensure_ascii=False))
            return
        old, new = _code(swap.old_radio), _code(swap.new_radio)
        self.stdout.write(f"{swap.mesh.code}: {swap.stands.words}; {old} comes out, {new} goes in.")
        if card.findings:
            rows = [(each.met.value, each.reason, each.act) for each in card.findings]
            self.stdout.write(table(("stands", "what", "what mends it"), rows))
        if card.settling:
            self.stdout.write(f"Against accepting: {'; '.join(card.settling.against) or 'nothing'}.")
        if card.watch:
            days = ", ".join(f"{each.at:%Y-%m-%d}" for each in card.watch.callbacks)
            self.stdout.write(f"Somebody had to come back: {days or 'not so far'}.")


def facts_of(swap: Replacement, card: Card | None = None) -> dict[str, Any]:
    """What is said of one replacement to a program."""
    facts = {
        "uid": str(swap.uid),
        "mesh": swap.mesh.code,
        "state": swap.state,
        "why": swap.why,
        "because": swap.asked_because,
        "old_radio": swap.old_radio.code if swap.old_radio else None,
        "new_radio": swap.new_radio.code if swap.new_radio else None,
        "begins_at": swap.begins_at.isoformat() if swap.begins_at else None,
    }
    if card is not None:
        facts["items"] = [
            {"item": each.item.value, "met": each.met.value, "reason": each.reason, "act": each.act}
            for each in card.findings
        ]
        facts["against_accepting"] = list(card.settling.against) if card.settling else None
        facts["called_back"] = [each.at.isoformat() for each in card.watch.callbacks] if card.watch else None
    return facts


def _under_way(code: str) -> Replacement:
    mesh = mesh_named(code)
    swap = mesh.replacements.under_way().first()
    if swap is None:
        raise CommandError(
            f"{mesh.code} has no replacement under way; begin one with: replacement ask {mesh.code}"
        )
    return swap


def _code(radio: Radio | None) -> str:
    return radio.code if radio else "none"


def _radio(code: str | None) -> Radio | None:
    if not code:
        return None
    radio = Radio.objects.filter(code__iexact=code).first()
    if radio is None:
        raise CommandError(f"--radio {code}: there is no such radio in this book.")
    return radio


def _person(name: str | None) -> Person | None:
    if not name:
        return None
    person = Person.objects.filter(username=name, is_active=True).first()
    if person is None:
        raise CommandError(f"--goes {name}: nobody has this user name in the book.")
    return person


def _moment(text: str | None, swap: Replacement, argument: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%dT%H:%M").replace(tzinfo=ZoneInfo(swap.mesh.site.time_zone))
    except ValueError:
        raise CommandError(f"{argument} {text}: right is a time such as 2027-03-29T09:30.") from None


def _octets(path: Path | None) -> bytes | None:
    if path is None:
        return None
    try:
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"--photo {path} cannot be read: {error.strerror}") from None
