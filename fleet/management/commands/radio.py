"""python manage.py radio {list,recall,move,blank,state,firmware}: shelves, vans, and radios that lead no mesh."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.tables import table
from fleet.models import Place, Radio, RadioState
from fleet.planning.stock import why_not
from fleet.queries.stock import Family, lying, recall, stock_of
from fleet.verbs import stock as verbs

OUT = "-"


class Command(BaseCommand):
    help = (
        "List the radios that lead no mesh with why each counts as a spare or not, and how many of each family ought "
        "to lie ready; find a batch; write down a move, a proof that one is blank, its state, or its firmware."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="what lies where, and what is wanting")
        recalled = acts.add_parser("recall", help="where every radio of a batch is")
        recalled.add_argument("batch", metavar="BATCH", help="the batch (AL-23-02)")
        moved = acts.add_parser("move", help="write down that a radio lies elsewhere now")
        proven = acts.add_parser("blank", help="write down that it was read out and is blank")
        stated = acts.add_parser("state", help="write down what has become of it")
        built = acts.add_parser("firmware", help="write down which build was put on it")
        for each in (moved, proven, stated, built):
            each.add_argument("radio", metavar="CODE", help="the radio (A2-0110)")
            each.add_argument("--by", required=True, metavar="NAME", help="who did it")
        moved.add_argument("--spot", default="", metavar="WORDS", help="where exactly it lies there")
        moved.add_argument("place", metavar="PLACE", help=f"the place's code, or {OUT} for out of the firm")
        stated.add_argument("state", choices=RadioState.values, help="its state")
        built.add_argument("version", metavar="VERSION", help="the build (6.10)")
        for each in (moved, stated):
            each.add_argument("--because", default="", metavar="WORDS", help="why")
        for each in (listed, recalled, moved, proven, stated, built):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts = {"list": self.show_all, "recall": self.recall}
        if options["act"] in acts:
            acts[options["act"]](options)
            return
        radio = _named(options["radio"])
        deeds = {"move": self.move, "blank": self.blank, "state": self.state, "firmware": self.firmware}
        try:
            deeds[options["act"]](radio, options)
        except verbs.StockRefused as error:
            raise CommandError(f"Nothing was written. {error}") from None
        self.tell([_named(radio.code)], options["json"])

    def show_all(self, options: dict[str, Any]) -> None:
        stock = stock_of(timezone.now())
        lies = [each.row for _, found in stock.places for each in found] + [each.row for each in stock.loose]
        if options["json"]:
            facts = {"families": list(map(_pool, stock.families)), "radios": list(map(facts_of, lies))}
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        heads = ("family", "lead meshes", "count as spares", "wanted", "short")
        pools = [_pool(each) for each in stock.families]
        rows = [
            tuple("not known" if pool[name] is None else str(pool[name]) for name in ("family", *COUNTS))
            for pool in pools
        ]
        self.stdout.write(table(heads, rows))
        self.tell(lies, as_json=False)

    def recall(self, options: dict[str, Any]) -> None:
        found = list(recall(options["batch"]))
        if not found and not options["json"]:
            self.stdout.write(f"No radio of batch {options['batch']} is in the book.")
            return
        self.tell(found, options["json"])

    def move(self, radio: Radio, options: dict[str, Any]) -> None:
        target = None if options["place"] == OUT else _place(options["place"])
        now = timezone.now()
        verbs.move_radio(radio, target, radio.place, options["because"], options["by"], now, options["spot"])

    def blank(self, radio: Radio, options: dict[str, Any]) -> None:
        verbs.prove_blank(radio, options["by"], timezone.now())

    def state(self, radio: Radio, options: dict[str, Any]) -> None:
        state = RadioState(options["state"])
        verbs.set_state(radio, state, options["because"], options["by"], timezone.now())

    def firmware(self, radio: Radio, options: dict[str, Any]) -> None:
        release = radio.model.releases.filter(version=options["version"]).first()
        if release is None:
            known = ", ".join(radio.model.releases.values_list("version", flat=True)) or "none"
            raise CommandError(
                f"VERSION {options['version']}: {radio.model} has no such build; there are: {known}."
            )
        verbs.put_firmware(radio, release, options["by"], timezone.now())

    def tell(self, radios: list[Radio], as_json: bool) -> None:
        facts = [facts_of(radio) for radio in radios]
        if as_json:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        heads = ("radio", "state", "where", "firmware", "as a spare")
        rows = [
            (
                each["radio"],
                each["state"],
                each["leads"] or each["place"] or "nobody knows",
                each["firmware"] or "not known",
                each["why_not"] or "counts",
            )
            for each in facts
        ]
        self.stdout.write(table(heads, rows))


COUNTS = ("in_service", "counting", "wanted", "short")


def facts_of(radio: Radio) -> dict[str, Any]:
    """What is said of one radio to a program."""
    leads = next((each.mesh.code for each in radio.periods.all() if each.until is None), None)
    return {
        "radio": radio.code,
        "family": radio.model.family,
        "batch": radio.batch,
        "state": radio.state,
        "place": radio.place.code if radio.place else None,
        "leads": leads,
        "firmware": radio.firmware.version if radio.firmware else None,
        "blank_proven_at": radio.blank_proven_at.isoformat() if radio.blank_proven_at else None,
        "why_not": why_not(lying(radio)),
    }


def _pool(each: Family) -> dict[str, Any]:
    pool = each.pool
    return {
        "family": pool.family,
        "in_service": pool.in_service,
        "counting": len(pool.counting),
        "not_counting": dict(pool.not_counting),
        "wanted": pool.wanted,
        "short": pool.short,
        "upper_rate": pool.upper_rate,
    }


def _named(code: str) -> Radio:
    near = Radio.objects.select_related("model", "firmware", "place").prefetch_related("periods__mesh")
    radio = near.filter(code__iexact=code).first()
    if radio is None:
        raise CommandError(f"CODE {code}: there is no such radio in this book.")
    return radio


def _place(code: str) -> Place:
    place = Place.objects.filter(code__iexact=code).first()
    if place is None:
        known = ", ".join(Place.objects.order_by("code").values_list("code", flat=True)[:12])
        raise CommandError(f"PLACE {code}: there is no such place; there are: {known or 'none'}.")
    return place
