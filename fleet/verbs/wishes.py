"""What somebody wants to be told."""

from datetime import datetime

from django.db import transaction

from fleet.models import Wishes
from fleet.verbs import journal


@transaction.atomic
def put_down(wishes: Wishes, by: str, now: datetime) -> None:
    """Save what a person wants to be told, in which language and on which clock."""
    wishes.save()
    told = [name for name in ("morning_list", "urgent") if getattr(wishes, name)]
    journal.record(by, "wishes written down", "", now, person=wishes.person.username, told=told)
