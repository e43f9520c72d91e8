"""A build that goes out to the radios of one model ring by ring: who is in which ring, and what came of each."""

import uuid

from django.db import models
from django.db.models import F, Q

from fleet.models.firmware import FirmwareRelease, RadioModel
from fleet.models.mesh import Mesh
from fleet.models.radio import Radio
from fleet.models.snapshot import Snapshot
from fleet.planning.rings import RingKind

RING_KINDS = [(kind.value, kind.words) for kind in RingKind]


class PassageState(models.TextChoices):
    UNDER_WAY = "under_way", "Under way"
    STOPPED = "stopped", "Stopped"
    DONE = "done", "Done"
    GIVEN_UP = "given_up", "Given up"


OPEN_PASSAGES = (PassageState.UNDER_WAY, PassageState.STOPPED)


class Regression(models.TextChoices):
    """What went worse after an update. Any of them stops a passage."""

    LOST_MESH = "lost_mesh", "The mesh was lost"
    LOST_DEVICES = "lost_devices", "Devices were lost or late"
    CALLBACK = "callback", "Somebody had to come back"
    OTHER = "other", "Something else went worse"


class Passage(models.Model):
    """From one build to another. Changed by verbs only, each with a PassageTurn of its own."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    model = models.ForeignKey(RadioModel, on_delete=models.PROTECT, related_name="passages")
    source = models.ForeignKey(FirmwareRelease, on_delete=models.PROTECT, related_name="passages_from")
    target = models.ForeignKey(FirmwareRelease, on_delete=models.PROTECT, related_name="passages_to")
    state = models.CharField(max_length=10, choices=PassageState, default=PassageState.UNDER_WAY)
    need = models.PositiveIntegerField(help_text="Units without a regression that a ring takes to pass.")
    because = models.CharField(max_length=200)
    begun_at = models.DateTimeField()
    begun_by = models.CharField(max_length=120)
    resumed_at = models.DateTimeField(null=True, blank=True, help_text="Soak days count anew from here.")

    class Meta:
        ordering = ["-begun_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(state__in=PassageState.values), name="passage_state_is_known"),
            models.CheckConstraint(condition=Q(need__gte=1), name="passage_needs_a_unit_at_least"),
            models.CheckConstraint(condition=~Q(source=F("target")), name="passage_goes_to_another_build"),
            models.UniqueConstraint(
                fields=["model"],
                condition=Q(state__in=[state.value for state in OPEN_PASSAGES]),
                name="one_open_passage_per_model",
                violation_error_message="Another passage of this model is open.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model_id}: {self.source_id} to {self.target_id}"

    @property
    def is_open(self) -> bool:
        """Under way, or stopped for now."""
        return self.state in OPEN_PASSAGES


class PassageRing(models.Model):
    """One ring: bench, the firm's own, a few homes, the rest. `word`: why it went on without enough units."""

    passage = models.ForeignKey(Passage, on_delete=models.CASCADE, related_name="rings")
    kind = models.CharField(max_length=6, choices=RING_KINDS)
    number = models.PositiveSmallIntegerField()
    soak_days = models.PositiveSmallIntegerField()
    opened_at = models.DateTimeField(null=True, blank=True)
    passed_at = models.DateTimeField(null=True, blank=True)
    passed_by = models.CharField(max_length=120, blank=True)
    word = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["passage", "number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=[kind.value for kind in RingKind]), name="ring_kind_is_known"
            ),
            models.UniqueConstraint(fields=["passage", "kind"], name="ring_once_per_passage"),
            models.UniqueConstraint(fields=["passage", "number"], name="ring_number_once_per_passage"),
            models.CheckConstraint(
                condition=Q(passed_at__isnull=True)
                | Q(opened_at__isnull=False, passed_at__gte=F("opened_at")),
                name="ring_opens_before_it_passes",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.passage_id} ring {self.number}"


class PassageUnit(models.Model):
    """One radio in a ring: when it was updated and by whom, in which mesh, after which copy, and what went worse."""

    ring = models.ForeignKey(PassageRing, on_delete=models.CASCADE, related_name="units")
    radio = models.ForeignKey(Radio, on_delete=models.PROTECT, related_name="passage_units")
    number = models.PositiveIntegerField(help_text="Its turn.")
    mesh = models.ForeignKey(
        Mesh, null=True, blank=True, on_delete=models.SET_NULL, related_name="passage_units"
    )
    copy = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.SET_NULL, related_name="passage_units"
    )
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.CharField(max_length=120, blank=True)
    regression = models.CharField(max_length=14, choices=Regression, blank=True)
    regressed_at = models.DateTimeField(null=True, blank=True)
    what = models.CharField("what went worse", max_length=200, blank=True)

    class Meta:
        ordering = ["ring", "number", "id"]
        constraints = [
            models.UniqueConstraint(fields=["ring", "radio"], name="radio_once_per_ring"),
            models.CheckConstraint(
                condition=Q(regression="") | Q(regression__in=Regression.values),
                name="regression_is_known",
            ),
            models.CheckConstraint(
                condition=Q(regression="", regressed_at__isnull=True)
                | (~Q(regression="") & Q(regressed_at__isnull=False, done_at__isnull=False)),
                name="regression_follows_an_update",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ring_id} {self.radio_id}"


class PassageTurn(models.Model):
    """What was done to a passage, when, by whom and why. Append only."""

    class What(models.TextChoices):
        BEGUN = "begun", "Begun"
        PASSED = "passed", "Ring passed"
        WIDENED = "widened", "More homes drawn"
        STOPPED = "stopped", "Stopped"
        RESUMED = "resumed", "Resumed"
        DONE = "done", "Done"
        GIVEN_UP = "given_up", "Given up"

    passage = models.ForeignKey(Passage, on_delete=models.CASCADE, related_name="turns")
    what = models.CharField(max_length=10, choices=What)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    what__in=["begun", "passed", "widened", "stopped", "resumed", "done", "given_up"]
                ),
                name="passage_turn_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.passage_id} {self.what}"
