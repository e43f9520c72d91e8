"""That a client was erased, with the facts of what went and what remains. Written once, never changed."""

import uuid

from django.db import models
from django.db.models import F, Q


class Erasure(models.Model):
    """One act of cryptographic erase (NIST SP 800-88): the client's data key was destroyed.

    erased and remains count things by name; copies lists each snapshot that went ({mesh, taken_at, sha256}).
    ring_keys names the keys of the ring that may have wrapped the data key: an older copy of the database opens
    with any of them. ring_renewed_at is when the last of those left the ring in use.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    client = models.OneToOneField("sites.Client", on_delete=models.PROTECT, related_name="erasure")
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    second = models.CharField(max_length=120)
    reason = models.CharField(max_length=200)
    erased = models.JSONField(default=dict)
    copies = models.JSONField(default=list)
    remains = models.JSONField(default=dict)
    ring_keys = models.JSONField(default=list)
    ring_renewed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(by=F("second")), name="erasure_has_two_people"),
            models.CheckConstraint(
                condition=~Q(by="") & ~Q(second="") & ~Q(reason=""), name="erasure_says_who_and_why"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.client_id} {self.at:%Y-%m-%d}"
