"""Minutes between places that the firm has uploaded in place of great circles."""

from django.db import models
from django.db.models import Q


class TravelMatrix(models.Model):
    """One uploaded file, written out evenly, in force until another takes its place or somebody ends it.

    At most one is in force. `fleet.planning.visits.reading_matrix` reads the text each time it is needed.
    """

    text = models.TextField(editable=False)
    sha256 = models.CharField("SHA-256", max_length=64, help_text="Of the file as it came.")
    ways = models.PositiveIntegerField()
    bands = models.PositiveSmallIntegerField(default=0, help_text="Bands of hours in which it takes longer.")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        verbose_name_plural = "travel matrices"
        constraints = [
            models.UniqueConstraint(
                models.Value(1), condition=Q(ended_at__isnull=True), name="one_travel_matrix_in_force"
            ),
            models.CheckConstraint(condition=Q(ways__gte=1), name="travel_matrix_has_a_way"),
        ]

    def __str__(self) -> str:
        return f"{self.ways} ways of {self.made_at:%Y-%m-%d}"
