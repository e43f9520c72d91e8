"""Events that leave the house for other systems: who receives them, what happened, and each delivery."""

import uuid

from django.db import models
from django.db.models import Q

from fleet.models.journal import JournalEntry
from fleet.models.readiness_change import ReadinessChange
from fleet.models.sealed import DataKey
from fleet.planning.events import Kind

EVENT_KINDS = [(kind.value, kind.value) for kind in Kind]


class Receiver(models.Model):
    """An address that is told of events. The secret that signs them is sealed and shown once, when it is made.

    `rests_until` holds after a try that found nobody there; `misses` counts such tries in a row.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    label = models.CharField(max_length=120)
    address = models.CharField(max_length=500)
    kinds = models.JSONField(default=list, blank=True, help_text="Empty: all.")
    active = models.BooleanField(default=True)
    sealed_secret = models.BinaryField(editable=False)
    data_key = models.ForeignKey(DataKey, on_delete=models.PROTECT, related_name="receivers")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
    since_line = models.PositiveBigIntegerField(default=0, help_text="Journal lines after this one are told.")
    since_change = models.PositiveBigIntegerField(default=0, help_text="The same of changes of readiness.")
    rests_until = models.DateTimeField(null=True, blank=True)
    misses = models.PositiveSmallIntegerField(default=0)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["label", "id"]

    def __str__(self) -> str:
        return self.label


class Event(models.Model):
    """Something that happened, made once from the row that says so. Codes only: no names, no secrets.

    Events of one home are told in the order of their keys. `home` is empty for what concerns the whole book.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=32, choices=EVENT_KINDS)
    home = models.CharField(max_length=60, blank=True)
    at = models.DateTimeField()
    data = models.JSONField(default=dict)
    line = models.OneToOneField(
        JournalEntry, null=True, blank=True, on_delete=models.SET_NULL, related_name="event"
    )
    change = models.OneToOneField(
        ReadinessChange, null=True, blank=True, on_delete=models.SET_NULL, related_name="event"
    )

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["-at"], name="event_newest_first")]

    def __str__(self) -> str:
        return f"{self.kind} {self.home}".strip()


class Delivery(models.Model):
    """One event for one receiver, until it is taken or dead. Whoever delivers it holds it until `held_until`."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="deliveries")
    receiver = models.ForeignKey(Receiver, on_delete=models.CASCADE, related_name="deliveries")
    home = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField()
    held_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=200, blank=True)
    delivered_at = models.DateTimeField(null=True, blank=True)
    dead_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-event_id"]
        verbose_name_plural = "deliveries"
        indexes = [
            models.Index(
                fields=["receiver", "home", "event"],
                condition=Q(delivered_at__isnull=True, dead_at__isnull=True),
                name="delivery_waiting",
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["event", "receiver"], name="event_once_a_receiver"),
            models.CheckConstraint(
                condition=Q(delivered_at__isnull=True) | Q(dead_at__isnull=True),
                name="delivery_is_taken_or_dead",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.event_id} to {self.receiver_id}"

    @property
    def state(self) -> str:
        """taken, dead or waiting."""
        return "taken" if self.delivered_at else "dead" if self.dead_at else "waiting"
