"""Files that people name: documents and field guides, opened with one sentence where that cannot be done."""

from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError

from fleet.models import FieldGuideRow
from fleet.queries.layouts import guide_of
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import JsonValue, ReadError, decode
from fleet.snapshots.guides import FieldGuide, from_json


def octets_in(path: Path) -> bytes:
    """What lies in a file, or CommandError."""
    try:
        if path.stat().st_size > settings.INTAKE_LIMIT:
            raise CommandError(f"{path}: larger than {settings.INTAKE_LIMIT} octets")
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} cannot be opened: {error.strerror}") from None


def document_in(path: Path) -> JsonValue:
    """A JSON document, or CommandError."""
    try:
        return decode(octets_in(path))
    except ReadError as error:
        raise CommandError(f"{path} is no document: {error}") from None


def foreign_in(path: Path) -> JsonValue:
    """A JSON document that is not in the book's own layout, or CommandError."""
    document = document_in(path)
    if own_layout.recognises(document):
        raise CommandError(f"{path} is in the book's own layout, which needs no field guide.")
    return document


def guide_named(text: str) -> FieldGuide:
    """The guide in the file of that name, else the confirmed guide of that name, else CommandError."""
    path = Path(text)
    if path.exists():
        try:
            return from_json(octets_in(path))
        except ReadError as error:
            raise CommandError(f"{path} is no field guide: {error}") from None
    row = FieldGuideRow.objects.filter(name=text).first()
    if row is not None:
        return guide_of(row)
    names = ", ".join(FieldGuideRow.objects.values_list("name", flat=True)[:12])
    raise CommandError(
        f"There is no file {text}, and no confirmed field guide of that name."
        + (f" Confirmed are: {names}." if names else " None is confirmed yet.")
    )
