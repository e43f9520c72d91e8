"""What the verbs of visits and plans say where they refuse."""

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db.models import Model

from fleet.snapshots.secret_words import looks_secret


class VisitRefused(Exception):
    """Nothing was written; the sentence names the field, says why, and what would be right."""


def insist_words(field: str, text: str, right: str = "say in a few words why") -> str:
    """The text without blanks around it. Raises VisitRefused where there is none, or where it looks like a key."""
    found = text.strip()
    if not found:
        raise VisitRefused(f"{field}: nothing was written; {right}.")
    return insist_no_secret(field, found)


def insist_no_secret(field: str, text: str) -> str:
    """The text, or VisitRefused where it looks like a code or a key."""
    if looks_secret(text):
        raise VisitRefused(f"{field}: this looks like a code or a key; write words only.")
    return text


def insist_whole(row: Model, exclude: Iterable[str] = ()) -> None:
    """Raises VisitRefused with the first thing that is wrong with a row."""
    try:
        row.full_clean(exclude=list(exclude))
    except ValidationError as error:
        field, told = next(iter(error.message_dict.items()))
        name = "" if field == "__all__" else f"{field}: "
        raise VisitRefused(f"{name}{told[0]}") from None
