"""The counter ledger: append-only evidence of every frame-counter value used or granted under a key."""

from django.db import models
from django.db.models import Q

from fleet.models.mesh import Mesh
from fleet.models.snapshot import Snapshot


class EvidenceKind(models.TextChoices):
    SNAPSHOT = "snapshot", "Snapshot"
    RESTORE = "restore", "Written to a radio"
    DRILL = "drill", "Drill grant"
    CAPTURE = "capture", "Capture"


class CounterEvidence(models.Model):
    """At this time the counter of (key, key sequence, head address) had at least this value."""

    mesh = models.ForeignKey(Mesh, on_delete=models.PROTECT, related_name="counter_evidence")
    key_mark = models.CharField(max_length=8)
    key_sequence = models.PositiveSmallIntegerField()
    head_address = models.CharField(max_length=16)
    value = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    landed_at = models.DateTimeField(null=True, blank=True, help_text="When the book learned of it.")
    kind = models.CharField(max_length=8, choices=EvidenceKind)
    snapshot = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.PROTECT, related_name="counter_evidence"
    )
    by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["mesh", "at", "id"]
        indexes = [
            models.Index(fields=["mesh", "key_mark", "key_sequence", "-at"], name="ledger_by_key_epoch")
        ]
        constraints = [
            models.CheckConstraint(condition=Q(value__lt=0xFFFF_FFFF), name="ledger_value_is_usable"),
            models.CheckConstraint(condition=Q(kind__in=EvidenceKind.values), name="ledger_kind_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.value} at {self.at:%Y-%m-%d %H:%M}"
