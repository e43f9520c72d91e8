"""Writing a mesh down and changing what people say of it."""

from datetime import datetime

from django.db import transaction

from fleet.models import Mesh
from fleet.verbs import journal


@transaction.atomic
def put_down(mesh: Mesh, changed: list[str], by: str, now: datetime) -> None:
    """Save a new or changed mesh; the fields' names go to the journal."""
    verb = "entered" if mesh.pk is None else "changed"
    mesh.save()
    journal.record(by, f"mesh {verb}", mesh.code, now, fields=sorted(changed))
