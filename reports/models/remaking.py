"""Making sheets anew in the background: what was asked for, and each sheet of it until it is done."""

from django.db import models
from django.db.models import Q

from reports.models.sheet import Sheet


class Remaking(models.Model):
    """Somebody, or the schedule, wants some sheets made anew. It is over when none of them waits."""

    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.CharField(max_length=120)
    total = models.PositiveIntegerField()

    class Meta:
        ordering = ["-started_at", "-id"]

    def __str__(self) -> str:
        return f"{self.total} sheets anew, {self.started_at:%Y-%m-%d %H:%M}"


class SheetToMake(models.Model):
    """One sheet that is to be made anew. Whoever works on it holds it until `held_until`."""

    remaking = models.ForeignKey(Remaking, on_delete=models.CASCADE, related_name="sheets")
    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="+")
    held_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    done_at = models.DateTimeField(null=True, blank=True)
    made = models.ForeignKey(Sheet, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    error = models.CharField(max_length=60, blank=True, help_text="Its kind only; the log has the rest.")
    error_id = models.CharField(max_length=8, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["id"], condition=Q(done_at__isnull=True), name="sheet_to_make_waiting"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["sheet"], condition=Q(done_at__isnull=True), name="sheet_waits_once_to_be_made"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} in {self.remaking_id}"
