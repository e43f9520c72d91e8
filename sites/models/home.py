"""Where the homes are, whom to call about them, and what was promised."""

from datetime import date

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.mesh.codes import SITE_CODE
from sites.models.checks import (
    COUNTRY,
    LANGUAGE,
    PHONE,
    POSITION_IS_WHOLE,
    SITE_CODE_FORM,
    check_time_zone,
)
from sites.models.client import Client
from sites.models.firm import PaperSize


class Site(models.Model):
    """One home: where it stands and what a stranger needs to find it."""

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="sites")
    code = models.CharField(max_length=16, unique=True, validators=[SITE_CODE_FORM])
    name = models.CharField(max_length=120, help_text="What the place is called, such as boathouse.")
    address_lines = models.TextField(help_text="As written on a letter there; any number of lines.")
    country = models.CharField(max_length=2, validators=[COUNTRY])
    latitude = models.DecimalField(
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
    )
    longitude = models.DecimalField(
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    time_zone = models.CharField(max_length=64, validators=[check_time_zone])
    language = models.CharField(
        max_length=20, blank=True, validators=[LANGUAGE], help_text="Empty: the client's."
    )
    paper_size = models.CharField(max_length=8, choices=PaperSize, default=PaperSize.A4)
    parking = models.CharField(max_length=200, blank=True)
    floor = models.CharField(max_length=60, blank=True)
    way_in = models.CharField(
        "who gives access", max_length=200, blank=True, help_text="A person, never a code."
    )
    alarm_company = models.CharField(max_length=200, blank=True)
    frost_limit_c = models.SmallIntegerField(
        "no swap below, °C", null=True, blank=True, validators=[MinValueValidator(-60), MaxValueValidator(30)]
    )
    vulnerable_person = models.BooleanField(default=False)
    warnings = models.TextField(blank=True, help_text="Ladders, pets, mains work, a line each.")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(code__regex=rf"^{SITE_CODE}$"), name="site_code_has_its_form"),
            models.CheckConstraint(condition=Q(time_zone__length__gt=0), name="site_has_a_time_zone"),
            models.CheckConstraint(
                condition=Q(country__regex=r"^[A-Z]{2}$"), name="site_country_is_iso_3166"
            ),
            models.CheckConstraint(
                condition=Q(paper_size__in=PaperSize.values), name="site_paper_size_is_known"
            ),
            models.CheckConstraint(
                condition=POSITION_IS_WHOLE,
                name="site_position_is_whole_and_on_earth",
                violation_error_message="Give both latitude (-90 to 90) and longitude (-180 to 180), or neither.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    @property
    def reading_language(self) -> str:
        """The language of paper for this home."""
        return self.language or self.client.language

    def agreement_on(self, day: date) -> "Agreement | None":
        """The agreement in force that day; the one that began last where two overlap."""
        for agreement in self.agreements.all():
            if agreement.starts_on <= day and (agreement.ends_on is None or day <= agreement.ends_on):
                return agreement
        return None


class ContactKind(models.TextChoices):
    CLIENT = "client", "Client"
    DEPUTY = "deputy", "Deputy"
    EMERGENCY = "emergency", "Emergency contact"
    ALARM = "alarm", "Alarm company"


class Contact(models.Model):
    """Somebody to call about a home, in the order they should be called."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="contacts")
    kind = models.CharField(max_length=12, choices=ContactKind)
    name = models.CharField(max_length=200)
    phone = models.CharField(max_length=24, validators=[PHONE])
    language = models.CharField(max_length=20, blank=True, validators=[LANGUAGE])
    call_order = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["site", "call_order", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=ContactKind.values), name="contact_kind_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.get_kind_display()})"


class Agreement(models.Model):
    """What was promised for a home, from when to when."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="agreements")
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    notice_days = models.PositiveSmallIntegerField(default=30)
    recovery_point_hours = models.PositiveIntegerField(
        help_text="The newest sound snapshot may never be older (recovery point, NIST SP 800-34).",
        validators=[MinValueValidator(1), MaxValueValidator(8760)],
    )
    recovery_time_minutes = models.PositiveIntegerField(
        help_text="From the call to accepted (recovery time, NIST SP 800-34).",
        validators=[MinValueValidator(5), MaxValueValidator(20160)],
    )
    drill_interval_days = models.PositiveSmallIntegerField(
        default=365, validators=[MinValueValidator(1), MaxValueValidator(1830)]
    )
    hours_covered = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["site", "-starts_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")),
                name="agreement_ends_after_it_starts",
                violation_error_message="The agreement ends before it starts.",
            ),
            models.CheckConstraint(
                condition=Q(recovery_point_hours__gte=1, recovery_point_hours__lte=8760),
                name="agreement_recovery_point_is_1_to_8760_hours",
            ),
            models.CheckConstraint(
                condition=Q(recovery_time_minutes__gte=5, recovery_time_minutes__lte=20160),
                name="agreement_recovery_time_is_5_to_20160_minutes",
            ),
            models.CheckConstraint(
                condition=Q(drill_interval_days__gte=1, drill_interval_days__lte=1830),
                name="agreement_drill_interval_is_1_to_1830_days",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.site.code} from {self.starts_on}"
