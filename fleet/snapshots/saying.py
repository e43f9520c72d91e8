"""A proposal in words: how sure it is of a candidate, how a value is written, where it stands."""

from fleet.snapshots.guide_rules import FieldRule, NodeRule
from fleet.snapshots.readings import Reading
from fleet.snapshots.rows import Rows, Source
from fleet.snapshots.secret_names import show_expression

_SURE = ((0.85, "sure"), (0.65, "likely"), (0.5, "perhaps"), (0.0, "a guess"))

WRITTEN_AS = {
    Reading.HEX: "hex digits",
    Reading.HEX_TURNED: "hex digits, octets reversed",
    Reading.NUMBER: "a number",
    Reading.NUMBER_TURNED: "a number, octets reversed",
    Reading.OCTETS: "a list of octets",
    Reading.OCTETS_TURNED: "a list of octets, reversed",
    Reading.BASE64: "base64",
    Reading.BASE64_TURNED: "base64, octets reversed",
    Reading.CHANNEL_LIST: "a list of channels",
    Reading.MEGAHERTZ: "a frequency in MHz",
    Reading.SIGNED_NUMBER: "a number that may be below zero",
    Reading.ISO_TIME: "a date with time",
    Reading.SECONDS: "seconds since 1970",
    Reading.MILLISECONDS: "milliseconds since 1970",
    Reading.MICROSECONDS: "microseconds since 1970",
    Reading.WORDS: "words",
    Reading.YES_NO: "yes or no",
    Reading.NO_YES: "yes or no, meaning the opposite",
    Reading.TEXT: "text",
}
"""How a document writes a value, for people."""

_FROM = {
    Source.NAME: "the name of the row",
    Source.AROUND: "the row around, at ",
    Source.AROUND_NAME: "the name of the row around",
    Source.TOP: "the top of the document, at ",
}


def sure(confidence: float) -> str:
    """How sure a confidence of 0 to 1 is, in a word."""
    return next(word for least, word in _SURE if confidence >= least)


def percent(confidence: float) -> int:
    """The same in whole percent."""
    return round(confidence * 100)


def where(rule: FieldRule | NodeRule | None) -> str:
    """Where a rule looks: "net.pan", or "the row of the head radio" where there is no rule."""
    if rule is None:
        return "the row of the head radio"
    source = getattr(rule, "source", Source.ITEM)
    if source in (Source.NAME, Source.AROUND_NAME):
        return _FROM[source]
    if rule.expression == "@":
        return "the row itself"
    return _FROM.get(source, "") + show_expression(rule.expression)


def rows_at(rows: Rows) -> str:
    """Where the rows of a list stand: "things.known", or "children in each row of things"."""
    here = show_expression(rows.items)
    return here if rows.within is None else f"{here} in each row of {rows_at(rows.within)}"
