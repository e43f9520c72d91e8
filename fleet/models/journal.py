"""Who did and saw what: append-only, without secrets, and chained so that no line can be changed unseen."""

from django.db import models
from django.db.models import Q

from fleet.planning.journal_chain import FIRST


class JournalEntry(models.Model):
    """One line. It has no place in the chain until a minute's job gives it one (verbs/journal_chain.seal)."""

    at = models.DateTimeField()
    who = models.CharField(max_length=120)
    what = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, blank=True)
    details = models.JSONField(default=dict, blank=True)
    place = models.PositiveBigIntegerField(null=True, blank=True, editable=False, unique=True)
    digest = models.CharField(max_length=64, blank=True, editable=False)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "journal entries"
        indexes = [
            models.Index(fields=["subject", "-id"], name="journal_by_subject"),
            models.Index(fields=["id"], condition=Q(place=None), name="journal_not_chained"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(place=None, digest="")
                | Q(place__isnull=False, place__gte=1, digest__regex=r"^[0-9a-f]{64}$"),
                name="journal_place_has_a_digest",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.who} {self.what} {self.subject}".strip()


class JournalChain(models.Model):
    """Where the chain ends; the one row, locked while lines are put behind it."""

    place = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, default=FIRST)
    sealed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="one_journal_chain")]

    def __str__(self) -> str:
        return f"{self.place} {self.digest[:8]}"
