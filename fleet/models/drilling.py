"""Drills as they are held, step by step, and the lots by which meshes are drawn for one."""

import uuid

from django.db import models
from django.db.models import Q

from fleet.models.drill import Drill, DrillKind
from fleet.models.firmware import FirmwareRelease
from fleet.models.mesh import Mesh
from fleet.models.radio import Place, Radio
from fleet.models.snapshot import Snapshot
from fleet.planning.drilling import steps
from fleet.planning.drilling.setup import Setup

SETUPS = [
    (Setup.SHIELDED.value, "In a shielded box"),
    (Setup.DISCONNECTED.value, "Disconnected: no antenna, a dummy load in its place"),
    (Setup.ON_AIR.value, "On air"),
]
STEPS = [(step.value, steps.WORDS[step].name) for step in steps.Step]


class DrillDraw(models.Model):
    """One month's lots: the seed, every mesh's weight, and through DrawnMesh the outcome. Never drawn twice.

    lots: as planning.drilling.lots.Lot, each as a list of mesh code, trials, passes and weight.
    """

    month = models.DateField(unique=True, help_text="Its first day, on the clock of the firm.")
    seed = models.CharField(max_length=64)
    lots = models.JSONField()
    count = models.PositiveIntegerField(help_text="How many were drawn.")
    drawn_at = models.DateTimeField()
    by = models.CharField(max_length=120)

    class Meta:
        ordering = ["-month"]
        constraints = [
            models.CheckConstraint(condition=~Q(seed=""), name="draw_keeps_its_seed"),
        ]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m}"


class DrawnMesh(models.Model):
    """A mesh that was drawn, and stays drawn until it is drilled."""

    draw = models.ForeignKey(DrillDraw, on_delete=models.PROTECT, related_name="drawn")
    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="drawn")
    place = models.PositiveIntegerField(help_text="As which it was drawn, from 1.")

    class Meta:
        ordering = ["draw", "place"]
        constraints = [models.UniqueConstraint(fields=["draw", "mesh"], name="mesh_drawn_once_a_month")]

    def __str__(self) -> str:
        return f"{self.mesh_id} in {self.draw_id}"


class RehearsalEnd(models.TextChoices):
    PASSED = "passed", "Passed"
    FAILED = "failed", "Failed"
    ABORTED = "aborted", "Aborted"


class Rehearsal(models.Model):
    """One drill on paper or on the bench, from its beginning to its end. One that passed or failed leaves a Drill."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="rehearsals")
    kind = models.CharField(max_length=6, choices=DrillKind)
    begun_at = models.DateTimeField()
    by = models.CharField(max_length=120)
    radio = models.ForeignKey(
        Radio, null=True, blank=True, on_delete=models.PROTECT, related_name="rehearsals"
    )
    source_release = models.ForeignKey(
        FirmwareRelease, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    target_release = models.ForeignKey(
        FirmwareRelease, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    own_pair_only = models.BooleanField(default=False)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    spot = models.CharField(max_length=200, blank=True)
    setup = models.CharField(max_length=12, choices=SETUPS, blank=True)
    nothing_radiates = models.BooleanField(default=False)
    snapshot = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.SET_NULL, related_name="rehearsals"
    )
    written_at = models.DateTimeField(null=True, blank=True, help_text="When the document was given out.")
    range_first = models.PositiveBigIntegerField(null=True, blank=True)
    range_last = models.PositiveBigIntegerField(null=True, blank=True)
    range_until = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    end = models.CharField(max_length=8, choices=RehearsalEnd, blank=True)
    note = models.CharField(max_length=300, blank=True, help_text="What failed, or why it was aborted.")
    drill = models.OneToOneField(
        Drill, null=True, blank=True, on_delete=models.SET_NULL, related_name="rehearsal"
    )

    class Meta:
        ordering = ["-begun_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=(DrillKind.PAPER, DrillKind.BENCH)), name="rehearsal_is_paper_or_bench"
            ),
            models.CheckConstraint(
                condition=Q(end="", ended_at__isnull=True)
                | Q(end__in=RehearsalEnd.values, ended_at__isnull=False),
                name="rehearsal_end_has_its_moment",
            ),
            models.CheckConstraint(
                condition=Q(kind=DrillKind.PAPER)
                | Q(
                    radio__isnull=False,
                    nothing_radiates=True,
                    setup__in=(Setup.SHIELDED.value, Setup.DISCONNECTED.value),
                ),
                name="rehearsal_on_a_bench_radiates_nothing",
            ),
            models.CheckConstraint(
                condition=Q(range_first__isnull=True, range_last__isnull=True, written_at__isnull=True)
                | Q(
                    range_first__isnull=False,
                    range_last__isnull=False,
                    range_last__gte=models.F("range_first"),
                    written_at__isnull=False,
                ),
                name="rehearsal_range_is_whole",
            ),
            models.UniqueConstraint(
                fields=["mesh"], condition=Q(ended_at__isnull=True), name="one_rehearsal_a_mesh_at_a_time"
            ),
            models.UniqueConstraint(
                fields=["radio"], condition=Q(ended_at__isnull=True), name="one_rehearsal_a_radio_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.begun_at:%Y-%m-%d}"


class RehearsalStep(models.Model):
    """One step: when it began and ended, and what went wrong at it. The last one without an end is under way."""

    rehearsal = models.ForeignKey(Rehearsal, on_delete=models.CASCADE, related_name="steps")
    step = models.CharField(max_length=8, choices=STEPS)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(max_length=300, blank=True)
    is_cut_short = models.BooleanField(
        default=False, help_text="The drill was ended in the midst of it: its minutes measure nothing."
    )

    class Meta:
        ordering = ["rehearsal", "began_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["rehearsal", "step"], name="rehearsal_step_once"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=models.F("began_at")),
                name="rehearsal_step_ends_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return self.get_step_display()

    @property
    def minutes(self) -> float | None:
        """How long it took; None while it is under way."""
        return None if self.ended_at is None else (self.ended_at - self.began_at).total_seconds() / 60
