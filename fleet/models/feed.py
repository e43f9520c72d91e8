"""The calendar that a technician's phone subscribes to: its address, and what it has told so far."""

from django.db import models
from django.db.models import F, Q

from sites.models import check_time_zone


class FeedToken(models.Model):
    """What opens one person's calendar and nothing else. Only a digest of it is kept; one at a time is good."""

    person = models.ForeignKey("sites.Person", on_delete=models.CASCADE, related_name="feed_tokens")
    digest = models.BinaryField(max_length=32, unique=True, editable=False)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.CharField(max_length=120, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["person", "-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(revoked_at__isnull=True),
                name="one_calendar_address_per_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} of {self.made_at:%Y-%m-%d}"


class FeedEvent(models.Model):
    """A visit as one person's calendar told it last. The sequence grows with each change (RFC 5545, 3.8.7.4).

    work are kinds of visit tasks; with_whom is a colleague. No word of a client has a place here.
    """

    person = models.ForeignKey("sites.Person", on_delete=models.CASCADE, related_name="feed_events")
    uid = models.UUIDField(
        help_text="Of this visit and this person; it tells nothing (RFC 7986, section 5.3)."
    )
    sequence = models.PositiveIntegerField(default=0)
    home = models.CharField(max_length=16)
    work = models.JSONField(default=list, blank=True)
    begin_at = models.DateTimeField()
    end_at = models.DateTimeField()
    zone = models.CharField(max_length=64, validators=[check_time_zone])
    with_whom = models.CharField(max_length=150, blank=True)
    cancelled = models.BooleanField(default=False)
    changed_at = models.DateTimeField(help_text="When it last said something else.")

    class Meta:
        ordering = ["person", "begin_at", "uid"]
        constraints = [
            models.UniqueConstraint(fields=["person", "uid"], name="one_feed_event_per_person_and_uid"),
            models.CheckConstraint(
                condition=Q(end_at__gt=F("begin_at")), name="feed_event_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.home} {self.begin_at:%Y-%m-%d %H:%M}, {self.sequence}"
