"""Devices that hold an install code which another device holds too: one of the two was typed from a wrong label."""

from typing import NamedTuple

from django.db.models import F, OuterRef, QuerySet, Subquery

from fleet.models import InstallCode, Mesh


class Shared(NamedTuple):
    """A device by its EUI-64, and another one with the same code and the mesh that it is in."""

    address: str
    other_mesh: str
    other_address: str


def twins_of(row: InstallCode) -> QuerySet[InstallCode]:
    """Rows of other devices that hold the same code; a device that moved to another mesh is no other one."""
    same = InstallCode.objects.filter(mark=bytes(row.mark))
    others = same.exclude(node__extended_address=row.node.extended_address)
    return others.select_related("node__mesh").order_by("node__mesh__code", "node__extended_address")


def shared_in(mesh: Mesh) -> tuple[Shared, ...]:
    """The devices of a mesh whose code another device holds too, each with the first of those others.

    Two that share one inside the mesh stand there once.
    """
    others = InstallCode.objects.filter(mark=OuterRef("mark"))
    others = others.exclude(node__extended_address=OuterRef("node__extended_address")).order_by("pk")
    found = (
        InstallCode.objects.filter(node__mesh=mesh)
        .annotate(
            other_mesh=Subquery(others.values("node__mesh__code")[:1]),
            other_address=Subquery(others.values("node__extended_address")[:1]),
        )
        .exclude(other_mesh=None)
    )
    rows = found.values_list(F("node__extended_address"), "other_mesh", "other_address")
    pairs = [Shared(*row) for row in rows.order_by("node__extended_address")]
    turned = {(pair.other_address, pair.address) for pair in pairs}
    return tuple(
        pair
        for pair in pairs
        if pair.address < pair.other_address or (pair.address, pair.other_address) not in turned
    )
