"""Field guides that a person has confirmed, and the layouts each was confirmed for."""

from django.db import models


class FieldGuideRow(models.Model):
    """How to read one foreign layout, as the guide's own file. It holds expressions, never a document's values."""

    name = models.CharField(max_length=60, unique=True)
    version = models.PositiveIntegerField(default=1)
    text = models.TextField(help_text="The guide as a file: field_guide.schema.json.")
    confirmed_by = models.CharField(max_length=120)
    confirmed_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]
        verbose_name = "field guide"

    def __str__(self) -> str:
        return self.name

    @property
    def edition(self) -> str:
        """Name and version, as copies and the journal say it."""
        return f"{self.name} {self.version}"


class KnownLayout(models.Model):
    """The fingerprint of a layout that a guide reads; a layout has one guide."""

    fingerprint = models.CharField(max_length=64, unique=True)
    guide = models.ForeignKey(FieldGuideRow, on_delete=models.CASCADE, related_name="layouts")

    def __str__(self) -> str:
        return self.fingerprint[:12]
