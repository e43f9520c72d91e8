"""What was done of the twelve steps with which an agreement ends."""

from django.db import models
from django.db.models import Q

from fleet.planning.leaving import Step

STEPS = [(step.value, step.value) for step in Step]


class LeavingStep(models.Model):
    """One step that was done; taking it back deletes the row, and the journal keeps both."""

    agreement = models.ForeignKey("sites.Agreement", on_delete=models.CASCADE, related_name="leaving_steps")
    step = models.CharField(max_length=10, choices=STEPS)
    done_on = models.DateField()
    by = models.CharField(max_length=120)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agreement", "step"], name="leaving_step_once_per_agreement"),
            models.CheckConstraint(
                condition=Q(step__in=[step.value for step in Step]), name="leaving_step_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.agreement_id} {self.step}"
