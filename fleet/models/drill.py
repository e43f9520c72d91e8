"""Rehearsals: what was tried, with which copy and radio, how long it took and what came of it."""

from django.db import models
from django.db.models import Q

from fleet.models.mesh import Mesh
from fleet.models.radio import Radio
from fleet.models.snapshot import Snapshot


class DrillKind(models.TextChoices):
    PAPER = "paper", "Paper walk-through"
    BENCH = "bench", "Bench write"
    LIVE = "live", "Live swap"


class DrillResult(models.TextChoices):
    PASSED = "passed", "Passed"
    FAILED = "failed", "Failed"


class Drill(models.Model):
    """One rehearsal, from the build in service (source) to the build on the spare (target)."""

    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="drills")
    kind = models.CharField(max_length=6, choices=DrillKind)
    result = models.CharField(max_length=6, choices=DrillResult)
    done_at = models.DateTimeField()
    minutes = models.PositiveIntegerField(null=True, blank=True)
    snapshot = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.SET_NULL, related_name="drills"
    )
    radio = models.ForeignKey(Radio, null=True, blank=True, on_delete=models.SET_NULL, related_name="drills")
    source_release = models.ForeignKey(
        "fleet.FirmwareRelease", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    target_release = models.ForeignKey(
        "fleet.FirmwareRelease", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    by = models.CharField(max_length=120, blank=True)
    own_pair_only = models.BooleanField(
        default=False, help_text="On another build than the plan's spare has: says nothing of this home."
    )

    class Meta:
        ordering = ["mesh", "-done_at"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=DrillKind.values), name="drill_kind_is_known"),
            models.CheckConstraint(condition=Q(result__in=DrillResult.values), name="drill_result_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.done_at:%Y-%m-%d}"
