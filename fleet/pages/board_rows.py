"""The rows of the board as words: all that the template repeats fifty times is said here once, and quickly."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from fleet.models import Mesh
from fleet.pages.writing import age_at, back_in, sentence, when

ANY = "X-0"
"""Stands for a code in an address until a row puts its own there; an address is worked out once, not for each row."""


@dataclass(frozen=True, slots=True)
class Row:
    """One mesh as the board says it. why: sentences, the gravest first; helps: the cheapest act, or empty."""

    state: str
    state_words: str
    safety: bool
    alarm: str
    code: str
    address: str
    language: str
    client: str
    folder: str
    place: str
    why: list[str]
    helps: SafeString | str
    back_in: SafeString | str
    age: str


def rows_of(meshes: Iterable[Mesh], now: datetime) -> list[Row]:
    """Meshes with their homes and clients, marked with their incidents (Incidents.mark), as rows."""
    mesh_at, folder_at = reverse("mesh", args=[ANY]), reverse("folder", args=[ANY])
    return [
        Row(
            state=mesh.readiness,
            state_words=mesh.get_readiness_display(),
            safety=mesh.safety_relevant,
            alarm="stranded" if mesh.stranded_since else "nobody speaks" if mesh.silence else "",
            code=mesh.code,
            address=mesh_at.replace(ANY, mesh.code),
            language=mesh.site.client.language,
            client=mesh.site.client.name,
            folder=folder_at.replace(ANY, mesh.site.code),
            place=f"{mesh.site.name}, {mesh.name}" if mesh.name else mesh.site.name,
            why=[*_incidents(mesh), _reason(mesh)],
            helps=_helps(mesh, mesh_at.replace(ANY, mesh.code)),
            back_in=back_in(mesh),
            age=age_at(mesh.newest_sound_at, now),
        )
        for mesh in meshes
    ]


def _incidents(mesh: Mesh) -> list[SafeString]:
    """What comes before readiness."""
    zone, told = mesh.site.time_zone, []
    if mesh.stranded_since:
        since = when(mesh.stranded_since, zone)
        told.append(
            format_html(
                "<strong>Stranded since {}:</strong> a swap failed, and no copy since shows that devices answer.",
                since,
            )
        )
    if mesh.silence:
        told.append(
            format_html(
                "<strong>Nobody speaks here since {}:</strong> its radio is being replaced. "
                '<a class="row" href="{}">The card of the replacement<span class="unseen"> of {}</span></a>',
                when(mesh.silence.since, zone),
                reverse("replacement", args=[mesh.silence.card]),
                mesh.code,
            )
        )
    if mesh.key_shared:
        told.append(
            mark_safe(
                "<strong>Incident:</strong> another mesh uses the same network key. Change one of them."
            )
        )
    return told


def _reason(mesh: Mesh) -> SafeString | str:
    if mesh.readiness_reason:
        return sentence(mesh.readiness_reason)
    return "No reason was noted." if mesh.assessed_at else "No round has judged it yet."


def _helps(mesh: Mesh, address: str) -> SafeString | str:
    if mesh.stranded_since:
        return format_html('<a class="row" href="{}">{}</a>', address, mesh.what_helps)
    return sentence(mesh.what_helps) if mesh.what_helps else ""
