"""What a visit that is wanted takes by the estimate of its work as the rows stand now."""

from fleet.models import Visit, VisitWork
from fleet.planning.estimating import NO_MINUTES, ThreePoints
from fleet.queries.visits.work import DeviceCounts, device_counts, walk_of, work_minutes


def estimate_of(visit: Visit) -> ThreePoints | None:
    """The work of all tasks and the longest walk once; None where a task is in somebody's own words. Two statements."""
    tasks = list(visit.tasks.all())
    if not tasks or any(task.mesh_id is None for task in tasks):
        return None
    counts = device_counts(task.mesh_id for task in tasks)
    minutes, walk = NO_MINUTES, 0.0
    for task in tasks:
        kind, devices = VisitWork(task.kind), counts.get(task.mesh_id, DeviceCounts())
        minutes += work_minutes(kind, devices)
        walk = max(walk, walk_of(kind, devices).minutes)
    return minutes + ThreePoints.exactly(walk)
