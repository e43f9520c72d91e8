"""When a mesh changed its readiness, from what to what and why, as the rounds found it."""

from django.db import models
from django.db.models import Q

from fleet.models.mesh import READINESS, Mesh
from fleet.models.round import Round
from fleet.planning.readiness import State


class ReadinessChange(models.Model):
    """One change of one mesh. An empty `was` is the first judgement."""

    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="readiness_changes")
    round = models.ForeignKey(
        Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="readiness_changes"
    )
    at = models.DateTimeField()
    was = models.CharField(max_length=24, choices=READINESS, blank=True)
    became = models.CharField(max_length=24, choices=READINESS)
    gate = models.CharField(max_length=40, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    told = models.JSONField(
        default=dict, blank=True, help_text="The reason by its codes, for other languages."
    )

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["mesh", "-at", "-id"], name="change_by_mesh")]
        constraints = [
            models.UniqueConstraint(fields=["round", "mesh"], name="one_change_a_mesh_and_round"),
            models.CheckConstraint(
                condition=Q(became__in=[state.value for state in State]), name="change_leads_to_a_known_state"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.was or 'new'} to {self.became}"
