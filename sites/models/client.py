"""Who is served."""

import uuid

from django.db import models
from django.db.models import Q

from sites.models.checks import LANGUAGE, PHONE


class Client(models.Model):
    """A household or business that is looked after."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=200, help_text="As the client writes it, in any script.")
    reading = models.CharField(max_length=200, blank=True, help_text="How it is read or sorted.")
    language = models.CharField(max_length=20, default="en", validators=[LANGUAGE])
    phone = models.CharField(max_length=24, blank=True, validators=[PHONE])
    email = models.EmailField(blank=True)
    bill_open = models.BooleanField(default=False, help_text="Never a reason to hold back a hand-back pack.")
    taken_on = models.DateField(null=True, blank=True)
    held_since = models.DateField("legal hold since", null=True, blank=True)
    hold_reason = models.CharField("reason of the hold", max_length=200, blank=True)
    erased_at = models.DateTimeField(
        null=True, blank=True, editable=False, help_text="When the data key was destroyed."
    )

    class Meta:
        ordering = ["reading", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(name__length__gt=0),
                name="client_has_a_name",
                violation_error_message="A client needs a name.",
            ),
            models.CheckConstraint(
                condition=Q(held_since__isnull=True, hold_reason="")
                | Q(held_since__isnull=False) & ~Q(hold_reason=""),
                name="client_hold_has_a_day_and_a_reason",
                violation_error_message="A legal hold needs a day and a reason. Empty both to lift it.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
