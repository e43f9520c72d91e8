"""Where the tightest table of a head radio is heading, from the copies of the last half year."""

from datetime import datetime

from fleet.mesh.capacity import SLOPE_WINDOW, DatedUse, Outlook, Resource, Room, outlook
from fleet.models import JUDGED_GRADES, Mesh


def outlook_of(mesh: Mesh, room: Room, now: datetime) -> Outlook | None:
    """None where no table has both a use and a limit, or no sound copy tells its use. One statement."""
    tight = next((each for each in room.resources if each.resource is room.tightest), None)
    if tight is None:
        return None
    name = "devices" if tight.resource is Resource.OBSERVED_CEILING else tight.resource.value
    copies = mesh.snapshots.filter(grade__in=JUDGED_GRADES, taken_at__gte=now - SLOPE_WINDOW)
    uses = [
        DatedUse(taken_at, use[name])
        for taken_at, use in copies.order_by("taken_at").values_list("taken_at", "table_use")
        if name in use
    ]
    return outlook(uses, uses[-1].used, tight.limit.value, now) if uses else None
