"""One background pass over the book, as a report row."""

from django.db import models
from django.db.models import Q


class RoundState(models.TextChoices):
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    BROKEN = "broken", "Broken off"


class Round(models.Model):
    """When it began, how far it came, what went wrong at which mesh. One runs at a time."""

    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=8, choices=RoundState, default=RoundState.RUNNING)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    marked = models.PositiveIntegerField(default=0)
    erased = models.PositiveIntegerField(default=0)
    errors = models.JSONField(default=list, blank=True)
    after_mesh = models.PositiveBigIntegerField(default=0, help_text="Where a killed round goes on.")
    last_sign_at = models.DateTimeField(help_text="Last sign of progress.")

    class Meta:
        ordering = ["-started_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["state"], condition=Q(state=RoundState.RUNNING), name="one_round_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"Round of {self.started_at:%Y-%m-%d %H:%M}"
