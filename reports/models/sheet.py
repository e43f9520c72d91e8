"""Every paper that was issued: its number, what it shows, and what it replaces."""

import uuid

from django.conf import settings
from django.core.files.storage import FileSystemStorage
from django.db import models
from django.db.models import Q


def archive() -> FileSystemStorage:
    """Where issued sheets lie. Django asks once, when the program starts."""
    return FileSystemStorage(location=settings.SHEETS_FOLDER)


class SheetKind(models.TextChoices):
    HANDOVER = "handover", "Hand-over sheet"
    RECOVERY = "recovery", "Recovery sheet"
    JOB = "job", "Job sheet"
    DRILL = "drill", "Drill record"
    ERASURE = "erasure", "Erasure certificate"
    DIGEST = "digest", "Month of the book"
    EVIDENCE = "evidence", "Evidence pack"


OF_A_HOME = (SheetKind.HANDOVER, SheetKind.EVIDENCE)
OF_A_MESH = (SheetKind.RECOVERY, SheetKind.JOB, SheetKind.DRILL)
ON_A_WALL = (SheetKind.HANDOVER, SheetKind.RECOVERY)
"""Those that hang in the home: where one was made anew, somebody must carry the new one there."""


class SheetSerial(models.Model):
    """The last serial given out for each kind; raised under a row lock, never lowered."""

    kind = models.CharField(max_length=12, choices=SheetKind, unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.kind} {self.last}"


class Sheet(models.Model):
    """One issued PDF. Its bytes never change; a changed fact makes a new revision that names this one."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    number = models.CharField(max_length=12, unique=True)
    kind = models.CharField(max_length=12, choices=SheetKind)
    about = models.CharField(
        max_length=60, help_text="Tells its subject from all others of its kind; its revisions share it."
    )
    site = models.ForeignKey(
        "sites.Site", null=True, blank=True, on_delete=models.PROTECT, related_name="sheets"
    )
    mesh = models.ForeignKey(
        "fleet.Mesh", null=True, blank=True, on_delete=models.PROTECT, related_name="sheets"
    )
    client = models.ForeignKey(
        "sites.Client", null=True, blank=True, on_delete=models.PROTECT, related_name="sheets"
    )
    revision = models.PositiveIntegerField(default=1)
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    issued_at = models.DateTimeField()
    issued_by = models.CharField(max_length=120, blank=True)
    language = models.CharField(max_length=20)
    paper = models.CharField(max_length=8)
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of the facts it shows.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of everything on it; printed on each page.")
    sha256 = models.CharField("SHA-256", max_length=64)
    pages = models.PositiveSmallIntegerField()
    file = models.FileField(storage=archive, upload_to="%Y/%m", max_length=200)
    shown = models.JSONField(
        default=dict,
        blank=True,
        help_text="A short digest of each section it shows; empty once it is replaced.",
    )
    checked_at = models.DateTimeField(
        null=True,
        blank=True,
        help_text="As of when its facts were last compared; empty: they are not compared.",
    )
    check_error = models.CharField(
        max_length=80,
        blank=True,
        help_text="Why its facts could not be compared: kind and number in the log.",
    )
    stale_since = models.DateTimeField(null=True, blank=True)
    changed = models.JSONField(
        default=list, blank=True, help_text="Which sections had changed when it was found stale."
    )

    hung_at = models.DateTimeField(
        null=True, blank=True, help_text="When somebody noted that it hangs at the home."
    )
    hung_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["-issued_at", "-id"]
        indexes = [
            models.Index(fields=["site", "kind", "-revision"], name="sheet_newest_of_a_kind"),
            models.Index(
                fields=["checked_at"], condition=Q(checked_at__isnull=False), name="sheet_to_compare"
            ),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=SheetKind.values), name="sheet_kind_is_known"),
            models.CheckConstraint(
                condition=Q(kind__in=OF_A_HOME, site__isnull=False, mesh__isnull=True, client__isnull=True)
                | Q(kind__in=OF_A_MESH, site__isnull=False, mesh__isnull=False, client__isnull=True)
                | Q(kind=SheetKind.ERASURE, site__isnull=True, mesh__isnull=True, client__isnull=False)
                | Q(kind=SheetKind.DIGEST, site__isnull=True, mesh__isnull=True, client__isnull=True),
                name="sheet_names_its_subject",
            ),
            models.CheckConstraint(
                condition=Q(hung_at__isnull=True) | Q(kind__in=ON_A_WALL), name="sheet_hangs_on_a_wall"
            ),
            models.UniqueConstraint(fields=["kind", "about", "revision"], name="one_sheet_per_revision"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def is_erased(self) -> bool:
        """Its client was erased: it is compared no more and handed to nobody."""
        client = self.site.client if self.site else self.client
        return client is not None and client.erased_at is not None

    @property
    def is_to_be_hung(self) -> bool:
        """It took the place of one that may still hang at the home. Of sheets in force only."""
        return self.kind in ON_A_WALL and self.replaces_id is not None and self.hung_at is None
