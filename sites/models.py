"""Who is served, where, what was promised, and who in the firm may see it."""

import uuid
from datetime import date
from zoneinfo import available_timezones

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Length

from fleet.mesh.codes import SITE_CODE

models.CharField.register_lookup(Length)

PHONE = RegexValidator(
    r"^\+[0-9 ]{5,20}$", "Write the number with + and the country code, such as +44 1632 960123."
)
LANGUAGE = RegexValidator(
    r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$", "Write a language tag (BCP 47), such as en or pt-PT."
)
COUNTRY = RegexValidator(r"^[A-Z]{2}$", "Write the two-letter country code (ISO 3166-1), such as NO.")
CURRENCY = RegexValidator(r"^[A-Z]{3}$", "Write the three-letter currency code (ISO 4217), such as EUR.")
SITE_CODE_FORM = RegexValidator(
    rf"^{SITE_CODE}$", "Write two to ten capital letters, a dash and one to four digits, such as KELP-7."
)


def check_time_zone(name: str) -> None:
    """An IANA zone name, never an offset: keep rules and windows need its clock changes."""
    if name not in available_timezones():
        raise ValidationError(f"{name!r} is no IANA time zone; write one such as Europe/Oslo.")


POSITION_IS_WHOLE = Q(latitude__isnull=True, longitude__isnull=True) | Q(
    latitude__isnull=False,
    longitude__isnull=False,
    latitude__gte=-90,
    latitude__lte=90,
    longitude__gte=-180,
    longitude__lte=180,
)
"""Both coordinates, on earth, or neither. NULL must be named: a comparison with it would pass."""


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


class Role(models.TextChoices):
    OWNER = "owner", "Owner"
    OFFICE = "office", "Office"
    TECHNICIAN = "technician", "Technician"
    SUBCONTRACTOR = "subcontractor", "Subcontractor"


class Person(AbstractUser):
    """Somebody of the firm, or a partner whose access ends on a date."""

    role = models.CharField(max_length=16, choices=Role, default=Role.TECHNICIAN)
    phone = models.CharField(max_length=24, blank=True, validators=[PHONE])
    access_ends_on = models.DateField(null=True, blank=True)
    mains_licence_until = models.DateField(null=True, blank=True)
    sites = models.ManyToManyField(
        "Site", blank=True, related_name="people", help_text="A subcontractor's homes."
    )

    class Meta(AbstractUser.Meta):
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="person_role_is_known"),
            models.CheckConstraint(
                condition=~Q(role=Role.SUBCONTRACTOR) | Q(access_ends_on__isnull=False),
                name="subcontractor_access_must_end",
                violation_error_message="A subcontractor's access needs an end date.",
            ),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username


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
