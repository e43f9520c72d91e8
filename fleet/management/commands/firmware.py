"""python manage.py firmware {list,due,policy,place,begin,show,updated,worse,stop,resume,pass,draw,give-up}."""

import json
from collections.abc import Callable
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.answers import site_named
from fleet.management.tables import table
from fleet.models import (
    OPEN_PASSAGES,
    FirmwarePolicy,
    FirmwareRelease,
    Passage,
    PassageUnit,
    RadioModel,
    Regression,
)
from fleet.queries.firmware import BuildView, ModelView, models
from fleet.queries.passages import Card, card_of, whole
from fleet.queries.updates import due
from fleet.verbs import firmware as builds
from fleet.verbs import passages as verbs

NONE = "-"
WORDS = {
    "stop": "nothing of it is updated until somebody resumes it",
    "resume": "the build was not to blame: go on, soak days anew",
    "pass": "its open ring has passed; --because where too few units prove it",
    "give-up": "end it; what was updated stays as it is",
}


class Command(BaseCommand):
    help = (
        "Say whether each build may go into homes, set what the firm thinks of one, and bring one out ring by ring: "
        "begin, note each update and what went worse, stop, resume, pass a ring."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="every build, and whether it may go into homes")
        waiting = acts.add_parser("due", help="radios that are due for another build")
        stated = acts.add_parser("policy", help="set what the firm thinks of a build")
        placed = acts.add_parser("place", help="give a build a place in the order of its model")
        begun = acts.add_parser("begin", help="draw the rings from one build to another, and open the first")
        shown = acts.add_parser("show", help="the open passage of a model, ring by ring")
        told = {name: acts.add_parser(name, help=words) for name, words in WORDS.items()}
        drew = acts.add_parser("draw", help="more homes of the rest come into the open ring before it")
        updated = acts.add_parser("updated", help="a radio has the new build on it")
        worse = acts.add_parser("worse", help="something went worse after an update: it stops the passage")
        for each in (stated, placed, begun, shown, drew, *told.values()):
            each.add_argument("model", metavar="MODEL", help="the radio model's code (A2)")
        for each in (stated, placed):
            each.add_argument("version", metavar="VERSION", help="the build (6.10)")
        stated.add_argument("policy", choices=FirmwarePolicy.values, help="from now on it is this")
        placed.add_argument("place", metavar="PLACE", help=f"a whole number, or {NONE} for none of its own")
        begun.add_argument("--from", dest="source", required=True, metavar="VERSION", help="build to be left")
        begun.add_argument("--to", dest="target", required=True, metavar="VERSION", help="build to be put on")
        begun.add_argument(
            "--own", action="append", default=[], metavar="HOME", help="a home of the firm's own"
        )
        begun.add_argument("--few", type=int, metavar="N", help="homes before the rest; else what proves it")
        drew.add_argument("homes", type=int, metavar="N", help="how many more")
        for each in (updated, worse):
            each.add_argument("radio", metavar="RADIO", help="the radio (A2-0110)")
        worse.add_argument("--kind", required=True, choices=Regression.values, help="what went worse")
        for each in (stated, placed, begun, worse):
            each.add_argument("--because", required=True, metavar="WORDS", help="why, or what happened")
        for each in told.values():
            each.add_argument("--because", default="", metavar="WORDS", help="why")
        for each in (stated, placed, begun, drew, updated, worse, *told.values()):
            each.add_argument("--by", required=True, metavar="NAME", help="who does it")
        for each in (listed, waiting, stated, placed, begun, shown, drew, updated, worse, *told.values()):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        acts: dict[str, Callable[[dict[str, Any]], None]] = {
            "list": self.show_all,
            "due": self.show_due,
            "policy": self.policy,
            "place": self.place,
            "begin": self.begin,
            "updated": self.updated,
            "worse": self.worse,
        }
        try:
            acts.get(options["act"], self.of_passage)(options)
        except (builds.FirmwareRefused, verbs.PassageRefused) as error:
            raise CommandError(f"Nothing was written. {error}") from None

    def show_all(self, options: dict[str, Any]) -> None:
        self.tell_models(models(timezone.now()), options["json"])

    def show_due(self, options: dict[str, Any]) -> None:
        facts = [
            {
                "radio": each.radio.code,
                "mesh": each.mesh.code if each.mesh else None,
                "home": each.site.code if each.site else None,
                "from": each.source.version,
                "to": each.target.version,
                "ring": each.ring.value,
                "due": each.due.isoformat(),
            }
            for each in due(timezone.localdate())
        ]
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        heads = ("radio", "mesh", "from", "to", "ring", "since")
        keys = ("radio", "mesh", "from", "to", "ring", "due")
        self.stdout.write(table(heads, [tuple(str(each[key] or NONE) for key in keys) for each in facts]))

    def policy(self, options: dict[str, Any]) -> None:
        release = _build(options["model"], options["version"])
        builds.set_policy(
            release, FirmwarePolicy(options["policy"]), options["because"], options["by"], timezone.now()
        )
        self.tell_models(models(timezone.now(), release.model.code), options["json"])

    def place(self, options: dict[str, Any]) -> None:
        release, typed = _build(options["model"], options["version"]), options["place"]
        if typed != NONE and not (typed.isdecimal() and len(typed) < 19):
            raise CommandError(f"PLACE {typed[:40]}: right is a whole number of 0 or more, or {NONE}.")
        place = None if typed == NONE else int(typed)
        builds.set_order(release, place, options["because"], options["by"], timezone.now())
        self.tell_models(models(timezone.now(), release.model.code), options["json"])

    def begin(self, options: dict[str, Any]) -> None:
        wish = verbs.Wish(
            source=_build(options["model"], options["source"]),
            target=_build(options["model"], options["target"]),
            because=options["because"],
            own=[site_named(code) for code in options["own"]],
            few=options["few"],
        )
        self.tell(verbs.begin(wish, options["by"], timezone.now()), options["json"])

    def updated(self, options: dict[str, Any]) -> None:
        unit = _unit(options["radio"], done=False)
        verbs.note_update(unit, options["by"], timezone.now())
        self.tell(unit.ring.passage, options["json"])

    def worse(self, options: dict[str, Any]) -> None:
        unit = _unit(options["radio"], done=True)
        kind = Regression(options["kind"])
        verbs.note_regression(unit, kind, options["because"], options["by"], timezone.now())
        self.tell(unit.ring.passage, options["json"])

    def of_passage(self, options: dict[str, Any]) -> None:
        passage, act, now = _open_passage(options["model"]), options["act"], timezone.now()
        if act == "draw":
            verbs.draw_more(passage, options["homes"], options["by"], now)
        elif act != "show":
            deeds = {
                "stop": verbs.stop,
                "resume": verbs.resume,
                "pass": verbs.pass_ring,
                "give-up": verbs.give_up,
            }
            deeds[act](passage, options["because"], options["by"], now)
        self.tell(passage, options["json"])

    def tell_models(self, found: tuple[ModelView, ...], as_json: bool) -> None:
        facts = [_build_facts(model, build) for model in found for build in model.builds]
        if as_json:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        heads = ("model", "build", "policy", "on air", "standing by", "order", "may it go into homes?")
        rows = [
            (
                each["model"],
                each["version"],
                each["policy"],
                str(each["on_air"]),
                str(each["standing_by"]),
                each["order"] or NONE,
                each["because"],
            )
            for each in facts
        ]
        self.stdout.write(table(heads, rows))

    def tell(self, passage: Passage, as_json: bool) -> None:
        card = card_of(whole(Passage.objects.filter(pk=passage.pk)).get(), timezone.now())
        if as_json:
            self.stdout.write(json.dumps(_facts(card), indent=1, ensure_ascii=False))
            return
        row = card.passage
        said = (
            f"{row.model}: {row.source.version} to {row.target.version}, {row.get_state_display().lower()}; "
        )
        self.stdout.write(f"{said}{card.stand.clean} of {card.stand.need} units went without a regression.")
        heads = ("ring", "stands at", "radios", "well", "due", "why")
        rows = [
            (each.kind.words, each.state.value, str(each.size), str(each.clean), str(each.due), each.because)
            for each in card.stand.rings
        ]
        self.stdout.write(table(heads, rows))


def _build_facts(model: ModelView, build: BuildView) -> dict[str, Any]:
    order = f"{build.comparison.order} ({build.beside.version})" if build.comparison and build.beside else ""
    return {
        "model": model.row.code,
        "version": build.row.version,
        "policy": build.row.policy,
        "reason": build.row.policy_reason,
        "place": build.row.order_key,
        "order": order,
        "on_air": build.on_air,
        "standing_by": build.standing_by,
        "may_go_into_homes": build.answer.may,
        "because": build.answer.because,
    }


def _facts(card: Card) -> dict[str, Any]:
    row = card.passage
    return {
        "model": row.model.code,
        "from": row.source.version,
        "to": row.target.version,
        "state": row.state,
        "clean": card.stand.clean,
        "need": card.stand.need,
        "may_fail_at_most": card.stand.may_fail,
        "rings": [
            {
                "ring": ring.stand.kind.value,
                "state": ring.stand.state.value,
                "size": ring.stand.size,
                "done": ring.stand.done,
                "clean": ring.stand.clean,
                "due": ring.stand.due,
                "soaked_at": ring.stand.soaked_at.isoformat() if ring.stand.soaked_at else None,
                "because": ring.stand.because,
                "radios": [unit.row.radio.code for unit in ring.units],
            }
            for ring in card.rings
        ],
    }


def _build(model: str, version: str) -> FirmwareRelease:
    rows = FirmwareRelease.objects.filter(model=_model(model)).select_related("model")
    found = rows.filter(version=version).first()
    if found is None:
        known = ", ".join(row.version for row in rows) or "none"
        raise CommandError(f"VERSION {version}: {model} has no such build; there are: {known}.")
    return found


def _model(code: str) -> RadioModel:
    found = RadioModel.objects.filter(code__iexact=code).first()
    if found is None:
        known = ", ".join(RadioModel.objects.values_list("code", flat=True)) or "none"
        raise CommandError(f"MODEL {code}: there is no such model; there are: {known}.")
    return found


def _open_passage(code: str) -> Passage:
    model = _model(code)
    found = model.passages.filter(state__in=OPEN_PASSAGES).first()
    if found is None:
        raise CommandError(f"MODEL {code}: no passage of it is open; firmware begin makes one.")
    return found


def _unit(code: str, done: bool) -> PassageUnit:
    """The radio in the newest passage that has it; one that is open where an update is to be noted."""
    rows = PassageUnit.objects.select_related("ring__passage").filter(radio__code__iexact=code)
    if not done:
        rows = rows.filter(ring__passage__state__in=OPEN_PASSAGES)
    found = rows.order_by("-ring__passage__begun_at").first()
    if found is None:
        raise CommandError(f"RADIO {code}: it is in no {'' if done else 'open '}passage.")
    return found
