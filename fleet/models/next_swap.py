"""The order in which radios are worth swapping, as of one moment, with the figures of each mesh."""

from django.db import models
from django.db.models import Q


class SwapRanking(models.Model):
    """One weighing of the whole book: as of when, and how far it has come.

    `after_mesh` moves with the rows in one transaction a chunk, as with a Supposal. weights: those it goes by.
    """

    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField(help_text="The moment as of which it weighs.")
    sign_at = models.DateTimeField(help_text="When it last went on.")
    finished_at = models.DateTimeField(null=True, blank=True)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    after_mesh = models.PositiveBigIntegerField(default=0)
    weights = models.JSONField(default=dict)
    worst = models.JSONField(default=dict, blank=True)
    errors = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        indexes = [models.Index(fields=["sign_at"], condition=Q(finished_at=None), name="ranking_under_way")]

    def __str__(self) -> str:
        return f"as of {self.asked_at:%Y-%m-%d %H:%M}"


class RankedSwap(models.Model):
    """One mesh in a ranking. facts: planning.priority.SwapFacts; told: where its figures come from, in words."""

    ranking = models.ForeignKey(SwapRanking, on_delete=models.CASCADE, related_name="rows")
    mesh = models.ForeignKey("fleet.Mesh", on_delete=models.CASCADE, related_name="+")
    place = models.PositiveIntegerField(
        null=True, blank=True, help_text="1 is the first; empty while it grows."
    )
    worth = models.FloatField(default=0)
    facts = models.JSONField()
    told = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["ranking", "place", "id"]
        indexes = [models.Index(fields=["ranking", "place"], name="ranked_swap_in_order")]
        constraints = [
            models.UniqueConstraint(fields=["ranking", "mesh"], name="one_place_a_mesh_and_ranking"),
        ]

    def __str__(self) -> str:
        return f"{self.place}: {self.mesh_id}"
