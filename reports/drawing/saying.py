"""Texts among the facts, said in the language of the sheet: ours are looked up, what people typed stays as it is."""

from datetime import date
from decimal import Decimal

from reports.drawing import words
from reports.drawing.language import _, many
from reports.facts.fixed import Text, Value


def said(text: Text) -> str:
    """What stands on paper for it."""
    if isinstance(text, str):
        return text
    form = many(text.text, text.several, text.number) if text.several else _(text.text)
    return form.format(**{name: _shown(value) for name, value in text.values})


def said_or_none(text: Text | None) -> str | None:
    """The same; nothing for nothing."""
    return None if text is None else said(text)


def _shown(value: Value) -> str:
    if isinstance(value, tuple):
        return words.commas([said(part) for part in value])
    if isinstance(value, date):
        return words.day(value)
    return words.number(value) if isinstance(value, int | Decimal) else said(value)
