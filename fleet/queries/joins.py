"""How often nodes join a mesh, from what its copies have shown."""

from django.db.models import Max, Min

from fleet.models import JUDGED_GRADES, Mesh
from fleet.planning.freshness import JOINS_SEEN_OVER, joins_per_month


def observed_joins(mesh: Mesh) -> float | None:
    """Joins a month over the year up to the newest sound copy; None where the copies reach over less than a month.

    What the first copy shows was there before, and counts as no join. Two statements.
    """
    sound = mesh.snapshots.filter(grade__in=JUDGED_GRADES)
    first, newest = sound.aggregate(first=Min("taken_at"), newest=Max("taken_at")).values()
    if first is None:
        return None
    since = max(first, newest - JOINS_SEEN_OVER)
    joined = mesh.nodes.filter(first_seen__gt=since, first_seen__lte=newest).count()
    return joins_per_month(joined, newest - since)
