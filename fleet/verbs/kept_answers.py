"""What answers that are worked out in the background have in common: the last few are kept, lost ones found again.

Their rows say since when nobody worked on them (`sign_at`) and when they were done (`finished_at`).
"""

from datetime import datetime, timedelta
from typing import Any

from django.db.models import Model

# An answer that has not moved for so long has lost its worker.
LOST_AFTER = timedelta(minutes=2)


def let_go_but(model: type[Model], most: int) -> None:
    """Keep the newest rows, so many; whoever wants an older one asks again."""
    rows: Any = model._default_manager
    newest = rows.order_by("-pk").values_list("pk", flat=True)[:most]
    rows.exclude(pk__in=list(newest)).delete()


def lost(model: type[Model], now: datetime) -> list[int]:
    """Answers whose worker was lost; they are marked, so that the next look does not hand them out once more."""
    rows = model._default_manager.filter(finished_at=None, sign_at__lt=now - LOST_AFTER)
    numbers = list(rows.values_list("pk", flat=True))
    rows.update(sign_at=now)
    return numbers
