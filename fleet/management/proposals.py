"""A proposed field guide on the terminal: what it would read, how sure it is, and what a person may say to it."""

from collections.abc import Iterator
from typing import Any

from fleet.snapshots import saying
from fleet.snapshots.choosing import AS, readings_of
from fleet.snapshots.guide_facts import FIXABLE, REQUIRED, Fact, words
from fleet.snapshots.guide_faults import right_value
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule
from fleet.snapshots.proposal import Candidate, Proposal, ProposedFact, ProposedList
from fleet.snapshots.secret_names import show_expression

PLACES = 28
"""As wide as the longest usual place, for the eye."""


def told(proposal: Proposal, guide: FieldGuide) -> dict[str, Any]:
    """The proposal in plain values. guide: as it was chosen; number: what --choose calls a candidate."""
    offered = {fact.fact for fact in proposal.all_facts()}
    return {
        "fingerprint": proposal.fingerprint,
        "facts": [_fact(fact, guide.rules.get(Fact(fact.fact))) for fact in proposal.facts],
        "lists": [_list(proposed, guide) for proposed in proposal.lists],
        "fixed": {fact.value: value for fact, value in guide.fixed.items()},
        "missing": [
            {"fact": gap.fact.value, "required": gap.required, "reason": gap.reason}
            for gap in proposal.missing
            if gap.required or gap.fact not in offered
        ],
        "other_lists": [show_expression(other) for other in proposal.other_lists],
        "left_out": proposal.left_out,
    }


def lines(facts: dict[str, Any]) -> Iterator[str]:
    """The same for people: each fact with what would be read, then what else fits by the number to choose it."""
    if facts["left_out"]:
        yield "The document is so large that not all of it was looked at."
    yield "The network"
    for fact in facts["facts"]:
        yield from _fact_lines(fact)
    for fact, value in facts["fixed"].items():
        yield f"  {fact:{PLACES}}{value}  (as you say)"
    for proposed in facts["lists"]:
        what = f"{proposed['count']} devices" if proposed["adds"] else "More about devices"
        yield f"{what}, in {proposed['where']}: {_sure(proposed)}; {proposed['reason']}"
        if not proposed["taken"]:
            yield f"  left out; --choose {proposed['place']}=in takes this list"
        for fact in proposed["facts"]:
            yield from _fact_lines(fact)
    if not facts["lists"]:
        yield "No devices: no list has a different 64-bit address in each row."
    for other in facts["other_lists"]:
        yield f"Another list with addresses: {other}"
    gaps = [gap["fact"] for gap in facts["missing"] if not gap["required"]]
    if gaps:
        yield f"Not found, and not needed: {', '.join(gaps)}"


def remedy(fact: Fact) -> str:
    """How a person mends a fact that must be there and was not found."""
    where = f"--fix '{fact}=net.value{AS}{readings_of(fact)[0]}' says where it stands (JMESPath) and how"
    if fact in FIXABLE:
        return f"{words(fact)}: --fix {fact}=VALUE states it ({right_value(fact)}); {where}"
    return f"{words(fact)}: {where}"


def _fact(proposed: ProposedFact, rule: FieldRule | NodeRule | None) -> dict[str, Any]:
    rules = [candidate.rule for candidate in proposed.candidates]
    # The head's own row has no rule, and then it is the only candidate.
    number = rules.index(rule) + 1 if rule in rules else None
    return {
        "place": proposed.place,
        "required": proposed.fact in REQUIRED and isinstance(proposed.fact, Fact),
        "chosen": number,
        "yours": saying.where(rule) if number is None and rule is not None else None,
        "candidates": [_candidate(at, each) for at, each in enumerate(proposed.candidates, 1)],
    }


def _list(proposed: ProposedList, guide: FieldGuide) -> dict[str, Any]:
    table = next((table for table in guide.tables if table.rows == proposed.rows), None)
    rules = table.rules if table else {}
    return {
        "place": proposed.place,
        "where": saying.rows_at(proposed.rows),
        "count": proposed.count,
        "adds": proposed.adds,
        "taken": table is not None,
        "sure": saying.sure(proposed.confidence),
        "confidence": proposed.confidence,
        "reason": proposed.reason,
        "facts": [_fact(fact, rules.get(fact.fact)) for fact in proposed.facts],
    }


def _candidate(number: int, candidate: Candidate) -> dict[str, Any]:
    return {
        "number": number,
        "reads": candidate.sample,
        "sure": saying.sure(candidate.confidence),
        "confidence": candidate.confidence,
        "reason": candidate.reason,
        "where": saying.where(candidate.rule),
        "written_as": saying.WRITTEN_AS[candidate.rule.reading] if candidate.rule else None,
    }


def _fact_lines(fact: dict[str, Any]) -> Iterator[str]:
    number, place = fact["chosen"], fact["place"]
    if number is not None:
        yield from _candidate_lines(f"  {place:{PLACES}}", fact["candidates"][number - 1])
    elif fact["yours"]:
        yield f"  {place:{PLACES}}at {fact['yours']}  (as you say)"
    else:
        yield f"  {place:{PLACES}}left out"
    for other in fact["candidates"]:
        if other["number"] != number:
            yield from _candidate_lines(f"      --choose {place}={other['number']}  ", other)


def _candidate_lines(head: str, candidate: dict[str, Any]) -> Iterator[str]:
    written = f", {candidate['written_as']}" if candidate["written_as"] else ""
    yield f"{head}{candidate['reads']}  {_sure(candidate)}"
    yield f"          {candidate['reason']}; at {candidate['where']}{written}"


def _sure(part: dict[str, Any]) -> str:
    return f"{part['sure']}, {saying.percent(part['confidence'])} %"
