"""What the book tells people: who is told what, each message until it is sent, and what was told of which mesh."""

import uuid

from django.db import models
from django.db.models import Q

from fleet.models.mesh import Mesh
from fleet.planning.messages.standing import NO_TROUBLE, Trouble
from sites.models import check_time_zone

LANGUAGES = (
    ("en", "English"),
    ("de", "Deutsch"),
    ("fr", "Français"),
    ("es", "Español"),
    ("nl", "Nederlands"),
    ("el", "Ελληνικά"),
    ("ja", "日本語"),
    ("ar", "العربية"),
)
"""The languages that messages are written in; a catalogue of each lies in fleet/locale."""
RIGHT_TO_LEFT = frozenset({"ar"})
TROUBLES = [(trouble.value, trouble.value) for trouble in Trouble]


class Wishes(models.Model):
    """What one person wants to be told, in which language and on which clock. No row: what their role is told."""

    person = models.OneToOneField("sites.Person", on_delete=models.CASCADE, related_name="wishes")
    morning_list = models.BooleanField()
    urgent = models.BooleanField()
    language = models.CharField(max_length=2, choices=LANGUAGES, default="en")
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])

    class Meta:
        verbose_name_plural = "wishes"
        constraints = [
            models.CheckConstraint(
                condition=Q(language__in=[code for code, _ in LANGUAGES]), name="wishes_language_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.language}, {self.time_zone}"


class MessageKind(models.TextChoices):
    LIST = "list", "morning list"
    REST = "rest", "rest of the list"
    URGENT = "urgent", "urgent"
    STOPPED = "stopped", "rounds have stopped"


class Message(models.Model):
    """One message to one person, as it was written, until it is sent or given up.

    `key` says what it tells, so that the same is not written twice. `facts` holds codes and moments, never names
    or secrets. `uid` is in the Message-ID (RFC 5322): a repeat after a crash can be recognised by it. Whoever
    sends it holds it until `held_until`.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=8, choices=MessageKind)
    person = models.ForeignKey(
        "sites.Person", null=True, on_delete=models.SET_NULL, related_name="messages_told"
    )
    address = models.EmailField()
    language = models.CharField(max_length=2, choices=LANGUAGES)
    subject = models.CharField(max_length=250)
    body = models.TextField()
    facts = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField(help_text="When it may be tried next.")
    held_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=200, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=Q(sent_at__isnull=True, given_up_at__isnull=True),
                name="message_waiting",
            ),
            models.Index(fields=["-made_at", "-id"], name="message_newest_first"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(given_up_at__isnull=True),
                name="message_is_sent_or_given_up",
            ),
            models.CheckConstraint(condition=Q(kind__in=MessageKind.values), name="message_kind_is_known"),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def state(self) -> str:
        """sent, failed or waiting."""
        return "sent" if self.sent_at else "failed" if self.given_up_at else "waiting"


class ToldOfMesh(models.Model):
    """What one person was last told of a mesh as urgent, and the mildest state since (0 is the worst)."""

    person = models.ForeignKey("sites.Person", on_delete=models.CASCADE, related_name="told_of")
    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="told_to")
    trouble = models.CharField(max_length=10, choices=TROUBLES)
    at = models.DateTimeField()
    mildest = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "mesh"], name="told_once_a_person_and_mesh"),
            models.CheckConstraint(
                condition=Q(trouble__in=[word for word, _ in TROUBLES]), name="told_trouble_is_known"
            ),
            models.CheckConstraint(condition=Q(mildest__lte=NO_TROUBLE), name="told_mildest_is_a_severity"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.mesh_id} {self.trouble}"
