"""Pins that people set: a copy kept by hand, and legal holds."""

from django.db import models
from django.db.models import Q

from fleet.models.mesh import Mesh
from fleet.models.snapshot import Snapshot


class PinKind(models.TextChoices):
    BY_HAND = "by_hand", "Kept by hand"
    LEGAL = "legal", "Legal hold"


class Pin(models.Model):
    """Somebody's word that one copy stays or, by a legal hold, every copy of a mesh. Ended ones stay on record.

    A legal hold on all of a client's homes stands on the client's own row.
    """

    kind = models.CharField(max_length=8, choices=PinKind, default=PinKind.BY_HAND)
    mesh = models.ForeignKey(Mesh, on_delete=models.PROTECT, related_name="pins")
    snapshot = models.ForeignKey(
        Snapshot,
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="pins",
        help_text="Empty: every copy of the mesh.",
    )
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=PinKind.values), name="pin_kind_is_known"),
            models.CheckConstraint(
                condition=Q(snapshot__isnull=False) | Q(kind=PinKind.LEGAL),
                name="pin_on_a_whole_mesh_is_a_legal_hold",
            ),
            models.CheckConstraint(condition=~Q(reason="") & ~Q(by=""), name="pin_says_who_and_why"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by="") | Q(ended_at__isnull=False) & ~Q(ended_by=""),
                name="pin_end_says_who",
            ),
            models.UniqueConstraint(
                fields=["snapshot", "kind"],
                condition=Q(ended_at__isnull=True),
                name="one_pin_of_a_kind_per_copy",
            ),
            models.UniqueConstraint(
                fields=["mesh"],
                condition=Q(ended_at__isnull=True, snapshot__isnull=True),
                name="one_legal_hold_per_mesh",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} by {self.by}"
