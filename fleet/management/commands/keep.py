"""python manage.py keep {show,preview,set,marked,pins,pin,unpin}: which copies stay, and by whose word."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.forms import model_to_dict
from django.utils import timezone

from fleet.forms import KeepRuleForm
from fleet.management import keep_facts
from fleet.management.answers import client_named, copy_named, mesh_named
from fleet.management.progress import Bar
from fleet.management.second import add_second, second_named
from fleet.management.tables import table
from fleet.models import KeepRule, Pin, PinKind
from fleet.queries.keep_rules import marked_meshes, meshes_with_marked, rules_shown
from fleet.queries.pins import marked_of, pins_of, with_days
from fleet.queries.rule_book import rule_for
from fleet.queries.rule_effect import Preview
from fleet.verbs import pins
from fleet.verbs.keep_rules import Change, ClientChoice, MeshChoice, RuleEdited, RuleRefused, effect_of, save
from sites import access

NUMBERS = ("days", "weeks", "months", "years", "grace-days", "freshness-hours")
NONE_OF_ITS_OWN = "none"


class Command(BaseCommand):
    help = (
        "show: the rules and what each holds. preview: which copies a change would mark, home by home; nothing is "
        "saved. set: the same, and save it; more than 5 % of the kept copies needs --second. marked: what is marked to "
        "go, and when. pins, pin, unpin: what people hold. A change is RULE with numbers, or "
        "--mesh or --client with --rule."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        acts.add_parser("show")
        for act in ("preview", "set"):
            self._add_change(acts.add_parser(act))
        acts.add_parser("marked").add_argument("--mesh", metavar="CODE", help="its copies; none: all meshes")
        acts.add_parser("pins").add_argument("--mesh", required=True, metavar="CODE", help="the mesh")
        pin = acts.add_parser("pin")
        pin.add_argument("--mesh", required=True, metavar="CODE", help="the mesh")
        what = pin.add_mutually_exclusive_group(required=True)
        what.add_argument("--snapshot", metavar="ID", help="one copy, by the beginning of its id")
        what.add_argument("--all-marked", action="store_true", help="every copy that is marked to go")
        what.add_argument("--whole-mesh", action="store_true", help="every copy, by a legal hold")
        pin.add_argument("--legal", action="store_true", help="a legal hold on the copy, not a pin by hand")
        pin.add_argument("--reason", required=True, metavar="WHY", help="why; it goes into the journal")
        acts.add_parser("unpin").add_argument(
            "pin", type=int, metavar="NUMBER", help="as `keep pins` shows it"
        )
        for act in acts.choices.values():
            act.add_argument("--by", default="command line", metavar="NAME", help="who does this")
            act.add_argument("--json", action="store_true", help="print the facts as JSON")

    def _add_change(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", metavar="RULE", help="the rule to change, by name")
        parser.add_argument("--new", action="store_true", help="RULE is a new one")
        parser.add_argument("--rename", metavar="NAME", help="another name for it")
        for number in NUMBERS:
            parser.add_argument(f"--{number}", type=int, metavar="N")
        parser.add_argument("--default", action="store_true", help="make it the book's own rule")
        parser.add_argument("--mesh", metavar="CODE", help="choose a rule for this mesh")
        parser.add_argument("--client", metavar="CLIENT", help="choose a rule for this client's meshes")
        parser.add_argument("--rule", metavar="RULE", help=f"the rule to choose, or {NONE_OF_ITS_OWN}")
        add_second(parser, "who agrees to a large change")

    def handle(self, *args: Any, **options: Any) -> None:
        facts, text = getattr(self, f"do_{options['act']}")(options)
        self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False) if options["json"] else text)

    def do_show(self, options: dict[str, Any]) -> tuple[Any, str]:
        facts = [keep_facts.of_rule(shown) for shown in rules_shown()]
        heads = ("rule", "meshes", "copies", "marked", "sealed octets", "keeps")
        rows = [[str(fact[head.replace(" ", "_")]) for head in heads] for fact in facts]
        return facts, table(heads, rows)

    def do_preview(self, options: dict[str, Any]) -> tuple[Any, str]:
        found = effect_of(self.change(options), timezone.now(), self.step(options))
        return keep_facts.of_preview(found, saved=False), told(found, "Nothing was saved.")

    def do_set(self, options: dict[str, Any]) -> tuple[Any, str]:
        change = self.change(options)
        second, now = str(second_named(options, access.may_change) or ""), timezone.now()
        try:
            found = save(change, options["by"], now, second=second, step=self.step(options))
        except RuleRefused as refused:
            effect = keep_facts.in_words(refused.preview)
            raise CommandError(f"Nothing was saved: {effect}. {refused}") from None
        return keep_facts.of_preview(found, saved=True), told(found, "Saved; the next round goes by it.")

    def do_marked(self, options: dict[str, Any]) -> tuple[Any, str]:
        if options["mesh"] is None:
            facts = [keep_facts.of_marked_mesh(row) for row in marked_meshes(meshes_with_marked())]
            heads: tuple[str, ...] = ("mesh", "marked", "first_goes_after", "rule")
        else:
            mesh = mesh_named(options["mesh"], "--mesh")
            rows = with_days(marked_of(mesh), rule_for(mesh).grace_days)
            facts = [keep_facts.of_marked(row) for row in rows]
            heads = ("snapshot", "taken_at", "marked_at", "goes_after")
        return facts, table(heads, [[str(fact[head]) for head in heads] for fact in facts])

    def do_pins(self, options: dict[str, Any]) -> tuple[Any, str]:
        facts = [keep_facts.of_pin(pin) for pin in pins_of(mesh_named(options["mesh"], "--mesh"))]
        heads = ("pin", "kind", "on", "at", "by", "reason")
        return facts, table(heads, [[str(fact[head]) for head in heads] for fact in facts])

    def do_pin(self, options: dict[str, Any]) -> tuple[Any, str]:
        mesh, now = mesh_named(options["mesh"], "--mesh"), timezone.now()
        words = (options["reason"], options["by"], now)
        if options["all_marked"]:
            count = pins.keep_all_marked(mesh, *words)
            return {"kept": count}, f"{count} copies of {mesh.code} stay until their pins are taken off."
        if options["whole_mesh"]:
            pin = pins.hold_mesh(mesh, *words)
            return keep_facts.of_pin(pin), f"A legal hold stands on every copy of {mesh.code}."
        copy = copy_named(mesh, options["snapshot"], "--snapshot")
        try:
            pin = pins.keep_by_hand(copy, *words, PinKind.LEGAL if options["legal"] else PinKind.BY_HAND)
        except pins.PinRefused as refused:
            raise CommandError(str(refused)) from None
        return keep_facts.of_pin(pin), f"The copy of {copy.taken_at:%Y-%m-%d %H:%M} UTC stays."

    def do_unpin(self, options: dict[str, Any]) -> tuple[Any, str]:
        pin = Pin.objects.filter(pk=options["pin"], ended_at=None).select_related("snapshot").first()
        if pin is None:
            raise CommandError(
                f"There is no pin {options['pin']} that stands; `keep pins --mesh CODE` shows them."
            )
        pins.end(pin, options["by"], timezone.now())
        said = "The pin is off. What nothing else holds is marked now and goes after the grace time."
        return {"ended": pin.pk}, said

    def step(self, options: dict[str, Any]) -> Any:
        return None if options["json"] else Bar(self.stderr).step

    def change(self, options: dict[str, Any]) -> Change:
        """What the arguments ask for, or CommandError."""
        given = [name for name in ("name", "mesh", "client") if options[name]]
        if len(given) != 1 or (given != ["name"]) != bool(options["rule"]):
            raise CommandError("Name a rule to change, or --mesh or --client with the --rule to choose.")
        if options["name"]:
            return edited(options)
        rule = None if options["rule"] == NONE_OF_ITS_OWN else rule_named(options["rule"])
        if options["mesh"]:
            return MeshChoice(mesh_named(options["mesh"], "--mesh"), rule)
        return ClientChoice(client_named(options["client"]), rule)


def edited(options: dict[str, Any]) -> RuleEdited:
    """A rule with the numbers that were typed, checked as the page checks them."""
    row = KeepRule(name=options["name"]) if options["new"] else rule_named(options["name"])
    typed = {name: options[name] for name in (number.replace("-", "_") for number in NUMBERS)}
    given = {name: value for name, value in typed.items() if value is not None}
    given |= {"name": options["rename"]} if options["rename"] else {}
    form = KeepRuleForm(
        {**model_to_dict(row), **given, "is_default": row.is_default or options["default"]}, instance=row
    )
    if not form.is_valid():
        told = [f"{name}: {' '.join(errors)}" for name, errors in form.errors.items()]
        raise CommandError(f"Nothing was saved. {' '.join(told)}")
    return RuleEdited(form.save(commit=False))


def rule_named(name: str) -> KeepRule:
    row = KeepRule.objects.filter(name=name).first()
    if row is None:
        known = ", ".join(KeepRule.objects.values_list("name", flat=True)) or "none"
        raise CommandError(f"There is no keep rule {name}; there are: {known}.")
    return row


def told(found: Preview, end: str) -> str:
    """The effect as lines for the terminal: the sum, then every home that is touched."""
    rows = [
        (home.code, str(home.effect.marked), str(home.effect.sooner), str(home.effect.unmarked))
        for home in found.homes
    ]
    heads = ("home", "marked to go", "gone with the next round", "kept after all")
    return "\n".join([*([table(heads, rows)] if rows else []), f"{keep_facts.in_words(found)}. {end}"])
