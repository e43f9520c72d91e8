"""Who did and saw what: append-only, without secrets."""

from django.db import models


class JournalEntry(models.Model):
    at = models.DateTimeField()
    who = models.CharField(max_length=120)
    what = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, blank=True)
    details = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "journal entries"
        indexes = [models.Index(fields=["subject", "-id"], name="journal_by_subject")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.who} {self.what} {self.subject}".strip()
