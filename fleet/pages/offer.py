"""A proposed field guide as a page shows it: a line for each fact, with what a person has chosen so far."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.http import QueryDict

from fleet.mesh.addresses import show_eui64, show_short
from fleet.models import FieldGuideRow, Mesh
from fleet.snapshots import saying
from fleet.snapshots.choosing import AS, IN, OUT, readings_of
from fleet.snapshots.guide_facts import FIXABLE, REQUIRED, Fact, NodeFact, words
from fleet.snapshots.guide_faults import right_value
from fleet.snapshots.proposal import FIRST_LIST, Candidate, Proposal, ProposedFact, ProposedList
from fleet.snapshots.secret_names import show_expression

PICK, VALUE, WHERE, WRITTEN = "pick:", "value:", "where:", "as:"
MOST_LISTS = 12
"""Lists beyond these are not offered one by one; they are taken or left out as proposed."""

_ORDER = {fact: place for place, fact in enumerate(Fact)}


@dataclass(frozen=True, slots=True)
class Said:
    """What somebody has put into the form: picked and stated as `chosen_guide` takes them."""

    name: str = ""
    known_by: str = ""
    picked: Mapping[str, str] = field(default_factory=dict)
    stated: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Option:
    """One way to read a fact, or to leave it out (value "out"; then the rest is empty)."""

    value: str
    chosen: bool
    sample: str = ""
    where: str = ""
    written: str = ""
    sure: str = ""
    percent: int = 0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Fields in which a person says where a fact stands, or what it is.

    right: what may be stated, "" for nothing; in_book: what the book has for it.
    """

    fact: str
    label: str
    right: str
    value: str
    where: str
    written: str
    readings: tuple[tuple[str, str], ...]
    in_book: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A fact with its options. in_book: what the book has for it; elsewhere: for facts that must be there."""

    place: str
    label: str
    required: bool
    options: tuple[Option, ...]
    in_book: str = ""
    elsewhere: Elsewhere | None = None

    @property
    def chosen(self) -> Option:
        return next(option for option in self.options if option.chosen)

    @property
    def is_out(self) -> bool:
        return self.chosen.value == OUT

    @property
    def by_hand(self) -> str:
        """Where it stands, or what it is, by a person's own word."""
        return (self.elsewhere.where or self.elsewhere.value) if self.elsewhere else ""

    @property
    def others(self) -> int:
        """How many other values fit."""
        return sum(not option.chosen and option.value != OUT for option in self.options)


@dataclass(frozen=True, slots=True)
class Group:
    """A list of devices with its lines. needed: the list that holds most of them cannot be left out."""

    place: str
    where: str
    count: int
    adds: bool
    sure: str
    percent: int
    reason: str
    needed: bool
    taken: bool
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """Everything that the page shows of a proposal. gaps: facts that must be there and were not found."""

    name: str
    known_by: str
    lines: tuple[Line, ...]
    groups: tuple[Group, ...]
    gaps: tuple[Elsewhere, ...]
    not_found: tuple[str, ...]
    other_lists: tuple[str, ...]
    left_out: bool


def said_in(posted: QueryDict) -> Said:
    """What the form of a proposal holds."""
    stated = {}
    for key, text in posted.items():
        if key.startswith(WHERE) and text.strip():
            fact = key.removeprefix(WHERE)
            stated[fact] = f"{text.strip()}{AS}{posted.get(WRITTEN + fact, '')}"
        elif key.startswith(VALUE) and text.strip():
            stated[key.removeprefix(VALUE)] = text.strip()
    picked = {key.removeprefix(PICK): text for key, text in posted.items() if key.startswith(PICK)}
    return Said(posted.get("name", ""), posted.get("known_by", ""), picked, stated)


def offer_of(proposal: Proposal, said: Said, mesh: Mesh, known: FieldGuideRow | None) -> Offer:
    """The proposal with what has been said about it."""
    in_book = _in_book(mesh)
    facts = sorted(proposal.facts, key=lambda fact: _ORDER[Fact(fact.fact)])
    found = {fact.fact for fact in facts}
    offered = {fact.fact for fact in proposal.all_facts()}
    missing = [gap.fact for gap in proposal.missing if not gap.required and gap.fact not in offered]
    return Offer(
        name=said.name or f"Layout of {mesh.code}",
        known_by=known.edition if known else "",
        lines=tuple(_line(fact, said, in_book.get(fact.fact, "")) for fact in facts),
        groups=tuple(_group(proposed, said) for proposed in proposal.lists[:MOST_LISTS]),
        gaps=tuple(_elsewhere(fact, said, in_book.get(fact, "")) for fact in REQUIRED if fact not in found),
        not_found=tuple(words(fact) for fact in missing),
        other_lists=tuple(map(show_expression, proposal.other_lists)),
        left_out=proposal.left_out,
    )


def _line(proposed: ProposedFact, said: Said, in_book: str = "") -> Line:
    required = proposed.fact in REQUIRED if isinstance(proposed.fact, Fact) else False
    must_stay = required or proposed.fact is NodeFact.EXTENDED_ADDRESS
    chosen = said.picked.get(proposed.place, "1" if proposed.is_taken else OUT)
    if proposed.place in said.stated:
        chosen = OUT
    values = [str(number) for number in range(1, len(proposed.candidates) + 1)]
    if chosen not in values:
        chosen = OUT
    options = [
        _option(value, candidate, value == chosen)
        for value, candidate in zip(values, proposed.candidates, strict=True)
    ]
    if not must_stay or chosen == OUT:
        options.append(Option(OUT, chosen == OUT))
    elsewhere = _elsewhere(Fact(proposed.fact), said) if required else None
    return Line(proposed.place, _label(proposed.fact), required, tuple(options), in_book, elsewhere)


def _option(value: str, candidate: Candidate, chosen: bool) -> Option:
    return Option(
        value=value,
        chosen=chosen,
        sample=candidate.sample,
        where=saying.where(candidate.rule),
        written=saying.WRITTEN_AS[candidate.rule.reading] if candidate.rule else "",
        sure=saying.sure(candidate.confidence),
        percent=saying.percent(candidate.confidence),
        reason=candidate.reason,
    )


def _elsewhere(fact: Fact, said: Said, in_book: str = "") -> Elsewhere:
    where, _, written = said.stated.get(fact, "").rpartition(AS)
    return Elsewhere(
        fact=fact.value,
        label=_label(fact),
        right=right_value(fact) if fact in FIXABLE else "",
        value="" if where else said.stated.get(fact, ""),
        where=where,
        written=written,
        readings=tuple((reading.value, saying.WRITTEN_AS[reading]) for reading in readings_of(fact)),
        in_book=in_book,
    )


def _group(proposed: ProposedList, said: Said) -> Group:
    return Group(
        place=proposed.place,
        where=saying.rows_at(proposed.rows),
        count=proposed.count,
        adds=proposed.adds,
        sure=saying.sure(proposed.confidence),
        percent=saying.percent(proposed.confidence),
        reason=proposed.reason,
        needed=proposed.place == FIRST_LIST,
        taken=said.picked.get(proposed.place, IN if proposed.is_taken else OUT) == IN,
        lines=tuple(_line(fact, said) for fact in proposed.facts),
    )


def _in_book(mesh: Mesh) -> dict[Fact | NodeFact, str]:
    """What the book has on the mesh, written as samples are."""
    known = {
        Fact.HEAD_ADDRESS: mesh.head_address and show_eui64(mesh.head_address),
        Fact.EXTENDED_PAN_ID: mesh.extended_pan_id and show_eui64(mesh.extended_pan_id),
        Fact.PAN_ID: None if mesh.pan_id is None else show_short(mesh.pan_id),
        Fact.CHANNEL: mesh.channel,
        Fact.KEY_SEQUENCE: mesh.key_sequence,
    }
    return {fact: str(value) for fact, value in known.items() if value is not None}


def _label(fact: Fact | NodeFact) -> str:
    text = words(fact)
    return text[0].upper() + text[1:]
