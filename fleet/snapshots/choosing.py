"""What a person says to a proposal, as a page or a command takes it down, turned into a field guide."""

from collections.abc import Iterable, Mapping
from typing import TypeVar

from fleet.snapshots.decoding import Problem, ReadError
from fleet.snapshots.guide_facts import FIXABLE, KIND, NODE_KIND, Fact, Kind, NodeFact
from fleet.snapshots.guide_faults import faults, right_value
from fleet.snapshots.guide_files import from_json, to_json
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule
from fleet.snapshots.paths import shown
from fleet.snapshots.proposal import Choice, ChoiceError, Proposal
from fleet.snapshots.readings import Reading, fitting

IN, OUT, AS = "in", "out", " as "

_LONGEST_NUMBER = 12

Name = TypeVar("Name", Fact, NodeFact)


class Unclear(ChoiceError):
    """Something that was said cannot be meant. problems: one for each place or fact."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


def chosen_guide(
    proposal: Proposal, name: str, picked: Mapping[str, str], stated: Mapping[str, str]
) -> FieldGuide:
    """The proposed guide as a person wants it.

    picked: place -> "2" for the second candidate, or "out"; a list's place -> "in" or "out".
    stated: place -> a value ("0") where a guide may state the fact by itself, else "EXPRESSION as READING".
    Raises Unclear with everything that is wrong, the guide's own faults included. What the guide still lacks is
    for `lacking` to say.
    """
    wrong: list[Problem] = []
    choices: dict[str, Choice] = {}
    fixed: dict[Fact, str | int] = {}
    for place, text in picked.items():
        try:
            choices[place] = _picked(proposal, place, text.strip())
        except Unclear as error:
            wrong += error.problems
    for place, text in stated.items():
        try:
            told = _stated(proposal, place, text.strip())
        except Unclear as error:
            wrong += error.problems
            continue
        if isinstance(told, FieldRule | NodeRule):
            choices[place] = told
        else:
            choices[place] = None
            fixed[Fact(place)] = told
    if wrong:
        raise Unclear(wrong)
    guide = proposal.guide(name.strip(), choices, fixed)
    if found := faults(guide):
        raise Unclear(found)
    try:
        return from_json(to_json(guide))  # what is kept must be fit to be read
    except ReadError as error:
        raise Unclear(error.problems) from None


def readings_of(fact: Fact | NodeFact) -> tuple[Reading, ...]:
    """In which ways a fact may be written. Words are left out: they need a table of their own."""
    kind = KIND[fact] if isinstance(fact, Fact) else NODE_KIND[fact]
    return tuple(reading for reading in fitting(kind) if reading is not Reading.WORDS)


def _picked(proposal: Proposal, place: str, text: str) -> Choice:
    if any(proposed.place == place for proposed in proposal.lists):
        if text not in (IN, OUT):
            raise _unclear(place, text, f"{IN} or {OUT}")
        return text == IN
    count = next((len(fact.candidates) for fact in proposal.all_facts() if fact.place == place), None)
    if count is None:
        raise _unclear(place, text, f"one of the places {', '.join(_places(proposal))}")
    if text == OUT:
        return None
    numbers = [str(number) for number in range(1, count + 1)]
    if text not in numbers:
        raise _unclear(place, text, f"1 to {count}, or {OUT}" if count > 1 else f"1 or {OUT}")
    return int(text) - 1


def _stated(proposal: Proposal, place: str, text: str) -> FieldRule | NodeRule | int | str:
    around, _, name = place.rpartition(".")
    if around:
        if all(proposed.place != around for proposed in proposal.lists):
            lists = ", ".join(proposed.place for proposed in proposal.lists)
            raise _unclear(place, "", f"a fact of one of the lists {lists or '(there are none)'}")
        node_fact = _named(name, NodeFact, place)
        return NodeRule(*_rule(place, text, node_fact))
    fact = _named(name, Fact, place)
    if fact in FIXABLE and AS not in text:
        return _value(fact, text)
    return FieldRule(*_rule(place, text, fact))


def _named(name: str, kind: type[Name], place: str) -> Name:
    try:
        return kind(name)
    except ValueError:
        raise _unclear(place, "", f"one of the facts {', '.join(kind)}") from None


def _rule(place: str, text: str, fact: Fact | NodeFact) -> tuple[str, Reading]:
    expression, _, reading = text.rpartition(AS)
    allowed = readings_of(fact)
    if not expression.strip() or reading.strip() not in allowed:
        example = f"net.value{AS}{allowed[0]}" if allowed else "nothing: it is read by words"
        ways = f"; how it is written is one of {', '.join(allowed)}" if allowed else ""
        raise _unclear(place, text, f"where it stands and how it is written, as in: {example}{ways}")
    return expression.strip(), Reading(reading.strip())


def _value(fact: Fact, text: str) -> int | str:
    if KIND[fact] is Kind.SECURITY_MODE:
        return text
    digits = text.removeprefix("-")
    if digits.isascii() and digits.isdecimal() and len(digits) <= _LONGEST_NUMBER:
        return int(text)
    raise _unclear(fact, text, right_value(fact))


def _places(proposal: Proposal) -> list[str]:
    return [
        *(fact.place for fact in proposal.all_facts()),
        *(proposed.place for proposed in proposal.lists),
    ]


def _unclear(place: str, text: str, right: str) -> Unclear:
    return Unclear([Problem(shown(place).strip('"'), shown(text) if text else "", right)])
