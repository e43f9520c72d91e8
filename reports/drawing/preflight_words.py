"""The twelve items before a swap in words, how each stands, and why."""

from collections.abc import Mapping

from fleet.planning.replacing.preflight import Finding, Item, Met
from reports.drawing.language import later
from reports.drawing.saying import said

ITEMS: Mapping[Item, str] = {
    Item.COPY: later("Snapshot under 24 hours old, and sound"),
    Item.NUMBER: later("Start value can be given out"),
    Item.VERDICT: later("Verdict neither “no” nor “untested”"),
    Item.BLANK: later("Spare is blank"),
    Item.FIRMWARE: later("Its firmware is allowed"),
    Item.WAY_BACK: later("Way back judged"),
    Item.CONNECTION: later("Connection path and driver known"),
    Item.POWER: later("Transmit power and region known"),
    Item.FALL_BACKS: later("People told their fall-backs"),
    Item.WINDOW: later("Window and climate"),
    Item.PEOPLE: later("Licence and second person"),
    Item.CONSENT: later("Consent and access"),
}
STANDINGS: Mapping[Met, str] = {
    Met.YES: later("met"),
    Met.NO: later("NOT MET"),
    Met.UNKNOWN: later("not known"),
}


def because(found: Finding) -> str:
    """What the book says of this item, and what mends it."""
    return " ".join([said(found.why), *([said(found.helps)] if found.helps else [])])
