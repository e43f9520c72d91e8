"""The firm that keeps the book."""

from django.db import models
from django.db.models import Q

from sites.models.checks import CURRENCY, LANGUAGE, PHONE, check_time_zone


class PaperSize(models.TextChoices):
    A4 = "A4", "A4"
    LETTER = "Letter", "Letter"


class Firm(models.Model):
    """The firm that keeps this book; one row."""

    name = models.CharField(max_length=120)
    legal_id = models.CharField(max_length=60, blank=True)
    night_phone = models.CharField("night number", max_length=24, validators=[PHONE])
    office_phone = models.CharField(max_length=24, blank=True, validators=[PHONE])
    email = models.EmailField(blank=True)
    currency = models.CharField(max_length=3, default="EUR", validators=[CURRENCY])
    hourly_rate = models.DecimalField(max_digits=8, decimal_places=2, default=95)
    address_lines = models.TextField(blank=True)
    language = models.CharField(max_length=20, default="en", validators=[LANGUAGE])
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    paper_size = models.CharField(max_length=8, choices=PaperSize, default=PaperSize.A4)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(paper_size__in=PaperSize.values), name="firm_paper_size_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name
