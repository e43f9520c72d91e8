"""Until when a maker mends the firmware of a radio type."""

from django.db import models


class SupportEnd(models.Model):
    """The last day of support of a radio type, and who says so. A missing row means that nobody knows."""

    model = models.OneToOneField("fleet.RadioModel", on_delete=models.CASCADE, related_name="support_end")
    last_day = models.DateField("last day of support")
    said_by = models.CharField(
        "who says so", max_length=200, help_text="Such as the maker's letter of May 2026."
    )
    noted_at = models.DateTimeField()
    noted_by = models.CharField(max_length=120)

    class Meta:
        ordering = ["model"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(said_by=""),
                name="support_end_has_a_source",
                violation_error_message="Say who says so.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.model_id} until {self.last_day}"
