"""Where radios went, and what was done to those that do not lead a mesh. Append only."""

from django.db import models
from django.db.models import F, Q

from fleet.models.radio import Place, Radio


class StockMove(models.Model):
    """One radio from one place to another: what leaves one arrives at the other. No place: from outside, or out."""

    radio = models.ForeignKey(Radio, on_delete=models.PROTECT, related_name="moves")
    source = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="moves_out"
    )
    target = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="moves_in"
    )
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(source__isnull=False) | Q(target__isnull=False), name="stock_move_has_an_end"
            ),
            models.CheckConstraint(
                condition=Q(source__isnull=True) | Q(target__isnull=True) | ~Q(source=F("target")),
                name="stock_move_goes_somewhere",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.radio_id} {self.source_id} to {self.target_id}"
