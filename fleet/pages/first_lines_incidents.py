"""The first lines of a home and of a mesh that is stranded, or in which nobody speaks while a radio is replaced."""

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from fleet.models import Mesh


def of_incidents(meshes: Iterable[Mesh], zone: str, now: datetime) -> str:
    """What goes before whether they could be brought back, on the home's clock; empty where all is well.

    meshes: marked with their incidents.
    """
    meshes = list(meshes)
    stranded = [mesh for mesh in meshes if mesh.stranded_since]
    if stranded:
        return " ".join(_stranded(mesh, zone, now) for mesh in stranded)
    return " ".join(_silent(mesh, zone, now) for mesh in meshes if mesh.silence)


def _stranded(mesh: Mesh, zone: str, now: datetime) -> str:
    day = _day(mesh.stranded_since, zone, now)
    return f"{mesh.code} is stranded since {day}: no radio is known to speak to its devices."


def _silent(mesh: Mesh, zone: str, now: datetime) -> str:
    return f"Nobody speaks in {mesh.code} since {since(mesh.silence.since, zone, now)}: its radio is being replaced."


def since(moment: datetime, zone: str, now: datetime) -> str:
    """ "05:05", or "21 November, 05:05" where it was not today."""
    there = moment.astimezone(ZoneInfo(zone))
    time = date_format(there, "H:i")
    return (
        time
        if there.date() == now.astimezone(ZoneInfo(zone)).date()
        else f"{_day(moment, zone, now)}, {time}"
    )


def _day(moment: datetime, zone: str, now: datetime) -> str:
    """The day, with its year where that is not this one."""
    there = moment.astimezone(ZoneInfo(zone))
    return date_format(there, "j F" if there.year == now.astimezone(ZoneInfo(zone)).year else "j F Y")
