"""A place in the order of swaps in words: each term with its figures, the same on the page and in the terminal."""

from dataclasses import dataclass

from fleet.planning.priority import Act, Growth, Place, Term, TermName, Weights
from fleet.planning.supposing_words import figure

NAMES = {
    TermName.OUTAGE: "Hours without the network",
    TermName.JOINING: "Joining by hand",
    TermName.SAFETY: "Locks, heating, alarms",
    TermName.GROWTH: "Nothing can be added",
    TermName.SUPPORT: "End of support",
}
NOT_KNOWN = "not known, so the worst counts"


@dataclass(frozen=True, slots=True)
class Line:
    """One term: its name, how it is reckoned, what it adds in hours, and where its figures come from."""

    name: str
    reckoned: str
    adds: float
    source: str


def headline(place: Place) -> str:
    """Which act is next and what weighs most in it."""
    most = max(place.terms, key=lambda term: term.adds)
    code = place.facts.code
    worth = f"{figure(place.worth)} hours averted for each hour of the visit"
    weighs = f"; most of it: {NAMES[most.name][:1].lower()}{NAMES[most.name][1:]}" if most.adds else ""
    if place.facts.act is Act.SNAPSHOT:
        return f"Next is {code}, and a snapshot comes before any radio: {worth}{weighs}."
    if place.facts.act is Act.SPARE:
        return f"Next is {code}, once there is a radio that fits: {worth}{weighs}."
    return f"Next is the radio of {code}: {worth}{weighs}."


def lines_of(place: Place, weights: Weights, told: dict[str, str]) -> list[Line]:
    """Every term of a place. told: where the figures come from, as queries.next_swaps wrote it."""
    return [
        Line(NAMES[term.name], _reckoned(place, term, weights), term.adds, _source(term, told))
        for term in place.terms
    ]


def chance_of(place: Place) -> str:
    """The chance of a failure within a year, in words: "7.7 %"."""
    said = f"{place.chance * 100:.1f} %"
    return said if place.chance_known else f"{said}: {NOT_KNOWN}"


def visit_of(place: Place) -> str:
    """The hours of the visit, and what they are made of."""
    work = f"{figure(place.work_hours, 2)} h at the home"
    if place.travel_hours is None:
        return f"{figure(place.visit_hours, 2)} h: {work}"
    shared = ""
    if place.shared_with:
        who = "1 neighbour" if place.shared_with == 1 else f"{place.shared_with} neighbours"
        shared = f", shared with {who}"
    return f"{figure(place.visit_hours, 2)} h: {work}, {figure(place.travel_hours, 2)} h on the way{shared}"


def because_of(place: Place) -> str:
    """Why it is asked for, as the replacement keeps it; at most 200 characters."""
    terms = sorted(place.terms, key=lambda term: -term.adds)[:2]
    weighs = " and ".join(NAMES[term.name].lower() for term in terms if term.adds)
    said = f"Order of swaps: {figure(place.worth)} h averted per hour of the visit"
    return f"{said}, most of it {weighs}" if weighs else said


def why_not_asked(place: Place) -> str:
    """Why no replacement is asked for from the order; empty where one may be."""
    if place.facts.act is not Act.SNAPSHOT:
        return ""
    return f"{place.facts.code}: a snapshot comes first; a new radio would mean joining everything by hand."


def _reckoned(place: Place, term: Term, weights: Weights) -> str:
    facts = place.facts
    chance = f" × {place.chance * 100:.1f} %" if term.multiplied else ""
    hours = figure(term.hours, 2)
    if not term.known:
        return f"{NOT_KNOWN}: {hours} h{chance}"
    if term.name is TermName.OUTAGE:
        return f"{figure(facts.outage_hours or 0.0)} h × {weights.outage_hour:g}{chance}"
    if term.name is TermName.JOINING:
        left = (1 - facts.spared) * 100
        return f"{left:.0f} % of {figure(facts.joining_hours or 0.0, 2)} h{chance}"
    if term.name is TermName.SAFETY:
        return f"{hours} h{chance}" if facts.safety else "none is on record"
    if term.name is TermName.GROWTH:
        return (
            f"{hours} h" if facts.growth is Growth.STOPPED else "devices may be added, or routers make room"
        )
    days = facts.support_days or 0
    return (
        f"{hours} h: {'it has ended' if days <= 0 else f'it ends in {days} days'}"
        if term.hours
        else "in support"
    )


def _source(term: Term, told: dict[str, str]) -> str:
    if term.name is TermName.SAFETY:
        return "devices on record" if term.known else "no device is on record"
    return told.get(term.name.value, "")
