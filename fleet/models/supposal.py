"""A question that somebody asked of the book, and the answer as it grows; the book itself is not changed by it."""

from django.db import models
from django.db.models import Q

from fleet.models.mesh import READINESS
from fleet.planning.readiness import State


class Supposal(models.Model):
    """What was supposed, by whom, as of when; how far the answer has come, and its sums.

    `after_mesh` moves with the sums in one transaction a chunk: whoever comes with an older one has lost the chunk.
    """

    asked = models.JSONField(help_text="The supposition, as planning.supposing writes it.")
    words = models.CharField(max_length=400)
    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField(help_text="The moment as of which it judges.")
    sign_at = models.DateTimeField(help_text="When it last went on.")
    finished_at = models.DateTimeField(null=True, blank=True)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    after_mesh = models.PositiveBigIntegerField(default=0)
    tally = models.JSONField(default=dict, blank=True)
    errors = models.JSONField(default=list, blank=True)
    refused = models.CharField(
        max_length=400, blank=True, help_text="Why it could not go on: something it names has left the book."
    )

    class Meta:
        ordering = ["-asked_at", "-id"]
        indexes = [models.Index(fields=["sign_at"], condition=Q(finished_at=None), name="supposal_under_way")]

    def __str__(self) -> str:
        return f"What if: {self.words}"


class SupposedChange(models.Model):
    """A mesh that would be in another state, and why it is in the one and would be in the other."""

    supposal = models.ForeignKey(Supposal, on_delete=models.CASCADE, related_name="changes")
    mesh = models.ForeignKey("fleet.Mesh", on_delete=models.CASCADE, related_name="+")
    was = models.CharField(max_length=24, choices=READINESS)
    becomes = models.CharField(max_length=24, choices=READINESS)
    rank = models.PositiveSmallIntegerField(help_text="Worst outcome first: 0 is bare.")
    why_was = models.CharField(max_length=300)
    why_becomes = models.CharField(max_length=300)
    hours_before = models.FloatField(null=True, blank=True, help_text="A year; empty: cannot be counted.")
    hours_after = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["supposal", "rank", "id"]
        constraints = [
            models.UniqueConstraint(fields=["supposal", "mesh"], name="one_change_a_mesh_and_supposal"),
            models.CheckConstraint(
                condition=Q(becomes__in=[state.value for state in State]),
                name="supposed_change_leads_to_a_known_state",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.was} to {self.becomes}"
