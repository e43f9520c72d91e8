"""What the sheet command is asked for about work: a replacement, a drill, an erasure."""

from datetime import date

from django.core.management.base import CommandError

from fleet.management.answers import client_named, mesh_named
from fleet.models import Drill, Erasure, Mesh, Radio
from reports.queries import home
from reports.queries.subjects import Subject, drill_of, erasure_of, job_of

MOST_NAMED = 12


def job_named(code: str, radio: str) -> Subject:
    """The job sheet of a mesh and the radio that is to take it over; CommandError names what is wrong."""
    mesh = mesh_named(code)
    if not radio.strip():
        raise CommandError(f"--radio: nothing was given; name the radio that is to take over {mesh.code}.")
    row = Radio.objects.filter(code__iexact=radio.strip()).first()
    if row is None:
        ready = Radio.objects.filter(periods__isnull=True).order_by("code").values_list("code", flat=True)
        known = ", ".join(ready[:MOST_NAMED])
        never = f" Never in service are: {known}." if known else ""
        raise CommandError(f"--radio {radio}: there is no such radio in this book.{never}")
    return job_of(mesh, row)


def drill_named(code: str, day: str) -> Subject:
    """The record of a mesh's newest drill, or of the newest on that day at the home."""
    mesh = mesh_named(code)
    drills = list(mesh.drills.select_related("mesh__site__client").order_by("-done_at"))
    if not drills:
        raise CommandError(f"{mesh.code}: no drill of it is in this book; note one first.")
    if not day.strip():
        return drill_of(drills[0])
    wanted = _day(day)
    found = next((each for each in drills if _held(each, mesh) == wanted), None)
    if found is None:
        days = ", ".join(dict.fromkeys(_held(each, mesh).isoformat() for each in drills[:MOST_NAMED]))
        raise CommandError(f"--date {day}: no drill of {mesh.code} was held that day; drills were on {days}.")
    return drill_of(found)


def erasure_named(text: str) -> Subject:
    """The certificate of a client who was erased, by name, mark or a home's code."""
    client = client_named(text)
    row = Erasure.objects.select_related("client").filter(client=client).first()
    if row is None:
        raise CommandError(
            f"{client.name} was not erased; a certificate is made after the client was erased."
        )
    return erasure_of(row)


def _held(drill: Drill, mesh: Mesh) -> date:
    return home.local_day(drill.done_at, mesh.site)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise CommandError(f"--date {text}: right is a day such as 2027-03-24.") from None
