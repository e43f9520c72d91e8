"""Texts among the facts, said in the language of the sheet: ours are looked up, what people typed stays as it is."""

from datetime import date
from decimal import Decimal
from math import ceil

from fleet.planning.sentences import FULL_STOPS, Manner, Sentence, Series, Span, Unit
from fleet.planning.sentences import Value as Figure
from reports.drawing import words
from reports.drawing.language import _, later, many, placing
from reports.facts.fixed import Text, Value

UNDER_A_MINUTE = later("under a minute")


def said(text: Text) -> str:
    """What stands on paper for it."""
    if isinstance(text, str):
        return text
    if isinstance(text, Sentence):
        return _sentence(text)
    if isinstance(text, Series):
        return _series(text)
    form = many(text.text, text.several, text.number) if text.several else _(text.text)
    return form.format(**{name: _shown(value) for name, value in text.values})


def said_or_none(text: Text | None) -> str | None:
    """The same; nothing for nothing."""
    return None if text is None else said(text)


def inner(text: Text) -> str:
    """The same within a sentence, whose own stop ends it."""
    return said(text) if isinstance(text, str) else said(text).rstrip(FULL_STOPS)


def span(value: Span) -> str:
    """3.2 days, 5 hours, 35 min. A fraction takes the form of the whole number above it."""
    if not value.amount:
        return _(UNDER_A_MINUTE)
    above = ceil(value.amount)
    if value.unit is Unit.DAY:
        form = many("{n} day", "{n} days", above)
    elif value.unit is Unit.HOUR:
        form = many("{n} hour", "{n} hours", above)
    else:
        form = _("{n} min")
    return placing(form.replace("{n} ", f"{{n}}{words.FIXED_SPACE}")).format(n=words.number(value.amount))


def _sentence(sentence: Sentence) -> str:
    phrase = sentence.phrase.value
    values = {name: _figure(value) for name, value in sentence.values}
    if isinstance(phrase, str):
        return _(phrase).format(**values)
    values.pop("n", None)
    one, several = phrase
    return words.counted(many(one, several, sentence.number), sentence.number, **values)


def _series(series: Series) -> str:
    parts = [_part(part) for part in series.parts]
    if series.manner is Manner.SENTENCES:
        return " ".join(parts)
    return words.semicolons(parts) if series.manner is Manner.SEMICOLONS else words.listed(parts)


def _part(part: str | Span | Sentence | Series) -> str:
    return span(part) if isinstance(part, Span) else said(part)


def _figure(value: Figure) -> str:
    if isinstance(value, Span):
        return span(value)
    if isinstance(value, Sentence | Series):
        return inner(value)
    return _shown(value)


def _shown(value: Value) -> str:
    if isinstance(value, tuple):
        return words.commas([said(part) for part in value])
    if isinstance(value, date):
        return words.day(value)
    return words.number(value) if isinstance(value, int | Decimal) else said(value)
