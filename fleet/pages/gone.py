"""The first line of pages about a client who was erased, or is about to be."""

from collections.abc import Iterable
from datetime import datetime

from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet.models import Mesh
from fleet.pages import first_lines, first_lines_incidents
from sites.models import Client


def of_home(
    client: Client, code: str, mesh: Mesh | None, marked: Iterable[Mesh], zone: str, now: datetime
) -> str:
    """Of a home or mesh of this client: that it was erased or is stranded, or whether it could be brought back.

    marked: the meshes that it speaks of, with their incidents.
    """
    if client.erased_at is None:
        incident = first_lines_incidents.of_incidents(marked, zone, now)
        return incident or first_lines.of_mesh(code, mesh)
    day = date_format(client.erased_at, "j M Y")
    return f"{code} was erased with its client on {day}; nothing of it can be brought back."


def of_erased(client: Client) -> SafeString:
    """When a client was erased."""
    return format_html("{} was erased on {}.", _named(client), date_format(client.erased_at, "j M Y"))


def before_erasing(client: Client, held: bool) -> SafeString:
    """Whether a client may be erased, as a question to whoever is about to. held: by a legal hold."""
    if held:
        return format_html("{} cannot be erased: a legal hold stands.", _named(client))
    return format_html("Erase {} for good?", _named(client))


def _named(client: Client) -> SafeString:
    return format_html('<bdi lang="{}">{}</bdi>', client.language, client.name)
