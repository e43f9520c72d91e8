"""A storm that is tried out on paper: many homes without a network at once, and who would be back when."""

from django.db import models
from django.db.models import Q


class StormExercise(models.Model):
    """One exercise: what was asked, the case as the book had it, the seed, and the answer. Nothing else is changed.

    From case, seed and runs the same answer is worked out at any time, so a lost worker costs time and no answer.
    """

    asked = models.JSONField(help_text="What somebody chose, as planning.storm.asking writes it.")
    words = models.CharField(max_length=400)
    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField(
        help_text="When the storm strikes, and the moment as of which the book is read."
    )
    sign_at = models.DateTimeField(help_text="When it last went on.")
    finished_at = models.DateTimeField(null=True, blank=True)
    seed = models.PositiveBigIntegerField()
    runs = models.PositiveIntegerField()
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    case = models.JSONField()
    answer = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        indexes = [models.Index(fields=["sign_at"], condition=Q(finished_at=None), name="storm_under_way")]

    def __str__(self) -> str:
        return f"Storm: {self.words}"
