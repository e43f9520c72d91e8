"""Forms of single values that several rows share."""

from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
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


def position_is_whole(before: str = "") -> Q:
    """Both coordinates, on earth, or neither; `before` is what stands before the names of the two columns.

    NULL must be named: a comparison with it would pass.
    """
    latitude, longitude = f"{before}latitude", f"{before}longitude"
    return Q(**{f"{latitude}__isnull": True, f"{longitude}__isnull": True}) | Q(
        **{
            f"{latitude}__isnull": False,
            f"{longitude}__isnull": False,
            f"{latitude}__gte": -90,
            f"{latitude}__lte": 90,
            f"{longitude}__gte": -180,
            f"{longitude}__lte": 180,
        }
    )


POSITION_IS_WHOLE = position_is_whole()
