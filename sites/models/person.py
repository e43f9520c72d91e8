"""Who in the firm may see the book, and where their day begins."""

from django.contrib.auth.models import AbstractUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from sites.models.checks import PHONE, check_time_zone, position_is_whole


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
    sites = models.ManyToManyField(
        "Site", blank=True, related_name="people", help_text="A subcontractor's homes."
    )
    base_latitude = models.DecimalField(
        "latitude of the base",
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
    )
    base_longitude = models.DecimalField(
        "longitude of the base",
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    time_zone = models.CharField(
        max_length=64, blank=True, validators=[check_time_zone], help_text="Empty: the firm's."
    )

    class Meta(AbstractUser.Meta):
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="person_role_is_known"),
            models.CheckConstraint(
                condition=~Q(role=Role.SUBCONTRACTOR) | Q(access_ends_on__isnull=False),
                name="subcontractor_access_must_end",
                violation_error_message="A subcontractor's access needs an end date.",
            ),
            models.CheckConstraint(
                condition=position_is_whole("base_"),
                name="person_base_is_whole_and_on_earth",
                violation_error_message="Give both latitude (-90 to 90) and longitude (-180 to 180), or neither.",
            ),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username
