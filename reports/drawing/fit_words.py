"""The rules of compatibility, and what a verdict means, in words."""

from collections.abc import Mapping

from fleet.planning.compatibility import Verdict
from reports.drawing.language import _, later
from reports.drawing.saying import said
from reports.facts.terms import VERDICTS

MEANS: Mapping[Verdict, str] = {
    Verdict.CLEAN: later("It takes over as it is."),
    Verdict.CONVERTS: later("It takes over once what is listed here is converted."),
    Verdict.PARTLY: later("It takes over; some devices must be joined by hand."),
    Verdict.UNTESTED: later("Nobody can say. Untested is never clean: try it on the bench first."),
    Verdict.NO: later("It cannot take over. Do not begin."),
}
RULES: Mapping[str, str] = {
    "channel": later("Channel"),
    "address": later("Head address"),
    "network key": later("Network key"),
    "key sequence": later("Key sequence"),
    "counter": later("Frame counter"),
    "PAN ID": later("PAN ID"),
    "extended PAN ID": later("Extended PAN ID"),
    "link keys": later("Link keys"),
    "link key table": later("Link key table"),
    "child table": later("Child table"),
    "route table": later("Route table"),
    "binding table": later("Binding table"),
    "green power": later("Harvested power"),
    "stack revision": later("Stack revision"),
    "security mode": later("Kind of trust"),
    "firmware": later("Firmware"),
    "driver": later("Driver"),
    "power": later("Transmit power"),
    "record": later("Record"),
}


def rule(name: str) -> str:
    """A rule's name in words; one that this list does not have, as it stands."""
    return _(RULES.get(name, name))


def verdict(found: Verdict) -> str:
    """The verdict in a word."""
    return said(VERDICTS[found.value])
