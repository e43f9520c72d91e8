"""Which dated snapshots stay, and how fresh the newest must be."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q


class KeepRule(models.Model):
    """Tiers count periods that hold a snapshot, in the home's own time zone; one rule is the book's default."""

    name = models.CharField(max_length=60, unique=True)
    is_default = models.BooleanField(default=False)
    days = models.PositiveSmallIntegerField(default=14)
    weeks = models.PositiveSmallIntegerField(default=8)
    months = models.PositiveSmallIntegerField(default=12)
    years = models.PositiveSmallIntegerField(default=5)
    grace_days = models.PositiveSmallIntegerField(default=7, help_text="Between marked and erased.")
    freshness_hours = models.PositiveIntegerField(
        default=168, validators=[MinValueValidator(1)], help_text="Where no agreement says otherwise."
    )

    class Meta:
        ordering = ["-is_default", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["is_default"], condition=Q(is_default=True), name="one_default_keep_rule"
            ),
            models.CheckConstraint(
                condition=Q(freshness_hours__gte=1), name="keep_rule_freshness_is_at_least_1_h"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ClientKeepRule(models.Model):
    """The rule that a client's meshes go by, but for those that have one of their own. No row: the book's default."""

    client = models.OneToOneField("sites.Client", on_delete=models.CASCADE, related_name="keep_choice")
    rule = models.ForeignKey(KeepRule, on_delete=models.PROTECT, related_name="client_choices")

    def __str__(self) -> str:
        return f"{self.client_id} {self.rule_id}"
