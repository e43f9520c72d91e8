"""Checks that rows with addresses share, so that forms and the database say the same."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.db.models import Q

from fleet.mesh.addresses import AddressError, parse_eui64, parse_extended_pan_id

SIXTEEN_HEX = r"^[0-9A-F]{16}$"


def check_eui64(text: str) -> None:
    """Sixteen hex digits in the book's form, neither all zeros nor all ones."""
    _check(text, parse_eui64)


def check_extended_pan_id(text: str) -> None:
    """Sixteen hex digits in the book's form; all zeros means unset and all ones is invalid."""
    _check(text, parse_extended_pan_id)


def _check(text: str, parse: Callable[[str], str]) -> None:
    try:
        plain = parse(text)
    except AddressError as error:
        raise ValidationError(str(error)) from error
    if plain != text:
        raise ValidationError(f"{text!r} must be written {plain}.")


def is_address(field: str, blank: bool = False) -> Q:
    """The database's own check of an address column."""
    good = Q(**{f"{field}__regex": SIXTEEN_HEX}) & ~Q(**{f"{field}__in": ["0" * 16, "F" * 16]})
    return good | Q(**{f"{field}__isnull": True}) if blank else good
