"""Sheets that go to somebody by mail, each until it is sent or given up."""

import uuid

from django.db import models
from django.db.models import Q

from reports.models.sheet import Sheet


class SheetMail(models.Model):
    """One sheet to one address, its PDF attached when it is sent.

    As with messages, the `uid` is in the Message-ID (RFC 5322), and whoever sends it holds it until `held_until`.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="mails")
    to_name = models.CharField(max_length=120)
    address = models.EmailField()
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
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
                name="sheet_mail_waiting",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(given_up_at__isnull=True),
                name="sheet_mail_is_sent_or_given_up",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} to {self.to_name}"

    @property
    def state(self) -> str:
        """sent, failed or waiting."""
        return "sent" if self.sent_at else "failed" if self.given_up_at else "waiting"
