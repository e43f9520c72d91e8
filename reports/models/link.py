"""Links that hand one sheet to somebody without an account, for a while."""

import uuid
from datetime import datetime

from django.db import models
from django.db.models import F, Q

from reports.models.sheet import Sheet


class SheetLink(models.Model):
    """One link to one sheet. Its token is never stored: `digest` is the SHA-256 of its 256 random bits.

    `opened` holds the newest times at which it was opened, `opens` how often that was.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="links")
    digest = models.BinaryField(max_length=32, unique=True, editable=False)
    for_whom = models.CharField(max_length=120)
    may_sign = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.CharField(max_length=120, blank=True)
    opens = models.PositiveIntegerField(default=0)
    opened = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")), name="link_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} for {self.for_whom}"

    @property
    def times(self) -> list[datetime]:
        """The newest times at which it was opened, the last one first."""
        return [datetime.fromisoformat(each) for each in reversed(self.opened)]
