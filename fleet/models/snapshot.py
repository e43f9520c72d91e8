"""Dated copies, how each arrived, what was found in it, and the tray of what could not be read."""

import uuid

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from fleet.models.guide import FieldGuideRow
from fleet.models.mesh import Mesh
from fleet.snapshots.findings import Severity


class Grade(models.TextChoices):
    """How far a copy is to be trusted (landed and held are never judged for currency)."""

    LANDED = "landed", "Landed"
    HELD = "held", "Held"
    SOUND = "sound", "Sound"
    SEEN_LIVE = "seen_live", "Seen live"
    PROVEN = "proven", "Proven"


JUDGED_GRADES = (Grade.SOUND, Grade.SEEN_LIVE, Grade.PROVEN)


class Currency(models.TextChoices):
    UNJUDGED = "unjudged", "Unjudged"
    FRESH = "fresh", "Fresh"
    STALE = "stale", "Stale"
    LOCKED_OUT = "locked_out", "Locked out"


class Custody(models.TextChoices):
    KEPT = "kept", "Kept"
    PINNED = "pinned", "Pinned"
    DOOMED = "doomed", "Marked to erase"
    GONE = "gone", "Erased"


MARKED = Q(doomed_at__isnull=False, gone_at__isnull=True)
"""Copies marked to erase, in words that an index can be held against: no value in it."""


class Snapshot(models.Model):
    """A dated copy of a mesh's state. The document itself lies sealed in SealedBody."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    mesh = models.ForeignKey(Mesh, on_delete=models.PROTECT, related_name="snapshots")
    taken_at = models.DateTimeField(help_text="Capture time, as the document says.")
    received_at = models.DateTimeField()
    layout = models.CharField(max_length=60)
    guide = models.ForeignKey(
        FieldGuideRow,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="Empty: our own.",
    )
    writer = models.CharField(max_length=120, blank=True)
    size_octets = models.PositiveIntegerField()
    sha256 = models.CharField("SHA-256", max_length=64)
    body_mark = models.BinaryField(editable=False, help_text="Keyed digest of the octets.")
    meaning_mark = models.BinaryField(editable=False, help_text="Keyed digest of what it says.")
    key_mark = models.CharField(max_length=8)
    key_sequence = models.PositiveSmallIntegerField(validators=[MaxValueValidator(255)])
    outgoing_counter = models.PositiveBigIntegerField()
    node_count = models.PositiveIntegerField()
    table_use = models.JSONField(default=dict, blank=True, help_text="Entries in use in the head's tables.")
    channel = models.PositiveSmallIntegerField()
    pan_id = models.PositiveIntegerField()
    grade = models.CharField(max_length=10, choices=Grade, default=Grade.LANDED)
    currency = models.CharField(max_length=10, choices=Currency, default=Currency.UNJUDGED)
    custody = models.CharField(max_length=8, choices=Custody, default=Custody.KEPT)
    holds = models.JSONField(default=list, blank=True, help_text="Tiers and pins that keep it.")
    doomed_at = models.DateTimeField(null=True, blank=True)
    gone_at = models.DateTimeField(null=True, blank=True)
    gone_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["mesh", "-taken_at", "-id"]
        indexes = [
            models.Index(fields=["mesh", "-taken_at"], name="snapshot_newest_first"),
            models.Index(fields=["mesh", "doomed_at"], condition=MARKED, name="snapshot_marked"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["mesh", "meaning_mark"], name="one_record_per_meaning"),
            models.CheckConstraint(
                condition=Q(outgoing_counter__lte=0xFFFF_FFFF), name="snapshot_counter_is_32_bit"
            ),
            models.CheckConstraint(
                condition=Q(key_sequence__lte=255), name="snapshot_key_sequence_is_one_octet"
            ),
            models.CheckConstraint(condition=Q(custody__in=Custody.values), name="snapshot_custody_is_known"),
            models.CheckConstraint(
                condition=Q(grade__in=[Grade.LANDED, Grade.HELD], currency=Currency.UNJUDGED)
                | Q(
                    grade__in=[grade.value for grade in JUDGED_GRADES],
                    currency__in=[Currency.FRESH, Currency.STALE, Currency.LOCKED_OUT],
                ),
                name="snapshot_axes_fit_together",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.taken_at:%Y-%m-%d %H:%M}"


class How(models.TextChoices):
    COMMAND = "command", "Command"
    PUSH = "push", "Push"
    UPLOAD = "upload", "Upload"
    FOLDER = "folder", "Watched folder"


class Arrival(models.Model):
    """One time a document came in. A repeated document adds an arrival, never a second record."""

    snapshot = models.ForeignKey(Snapshot, on_delete=models.CASCADE, related_name="arrivals")
    at = models.DateTimeField()
    how = models.CharField(max_length=8, choices=How)
    by = models.CharField(max_length=120, blank=True)
    file_name = models.CharField(max_length=200, blank=True)
    body_mark = models.BinaryField(editable=False)

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.get_how_display()} {self.at:%Y-%m-%d %H:%M}"


SEVERITIES = [(severity.value, severity.value) for severity in Severity]


class Finding(models.Model):
    """One named observation on a snapshot, or on a mesh by the round."""

    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="findings")
    snapshot = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.CASCADE, related_name="findings"
    )
    code = models.CharField(max_length=60)
    severity = models.CharField(max_length=8, choices=SEVERITIES)
    path = models.CharField(max_length=200, blank=True)
    message = models.CharField(max_length=400)
    value = models.CharField(max_length=200, blank=True)
    expected = models.CharField(max_length=200, blank=True)
    found_at = models.DateTimeField()

    class Meta:
        ordering = ["-severity", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(severity__in=[severity.value for severity in Severity]),
                name="finding_severity_is_known",
            ),
            models.UniqueConstraint(
                fields=["mesh", "code"],
                condition=Q(snapshot__isnull=True),
                name="one_standing_finding_of_a_kind_per_mesh",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code}: {self.message}"


class TrayReason(models.TextChoices):
    UNREADABLE = "unreadable", "Could not be read"
    UNKNOWN_LAYOUT = "unknown_layout", "Layout not known"
    WRONG_HOME = "wrong_home", "Belongs to another mesh"
    NO_MESH = "no_mesh", "No such mesh"


class TrayItem(models.Model):
    """A document that could not be read or fitted to a mesh. It waits, sealed; nothing that arrives is dropped."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    mesh = models.ForeignKey(Mesh, null=True, blank=True, on_delete=models.PROTECT, related_name="tray_items")
    reason = models.CharField(max_length=16, choices=TrayReason)
    problems = models.JSONField(default=list)
    received_at = models.DateTimeField()
    how = models.CharField(max_length=8, choices=How)
    by = models.CharField(max_length=120, blank=True)
    file_name = models.CharField(max_length=200, blank=True)
    size_octets = models.PositiveIntegerField()
    body_mark = models.BinaryField(editable=False)
    arrivals = models.PositiveIntegerField(default=1, help_text="How often the same octets came.")
    cleared_at = models.DateTimeField(null=True, blank=True)
    cleared_by = models.CharField(max_length=120, blank=True)
    cleared_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-received_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(reason__in=TrayReason.values), name="tray_reason_is_known"),
            models.UniqueConstraint(
                fields=["mesh", "body_mark"],
                condition=Q(cleared_at__isnull=True),
                name="one_waiting_tray_item_per_document",
            ),
            models.UniqueConstraint(
                fields=["body_mark"],
                condition=Q(cleared_at__isnull=True, mesh__isnull=True),
                name="one_waiting_tray_item_without_mesh",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_reason_display()} {self.received_at:%Y-%m-%d %H:%M}"
