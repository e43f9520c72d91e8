"""Who is served, where, what was promised, and who in the firm may see it."""

from sites.models.checks import (
    COUNTRY,
    CURRENCY,
    LANGUAGE,
    PHONE,
    POSITION_IS_WHOLE,
    SITE_CODE_FORM,
    check_time_zone,
    position_is_whole,
)
from sites.models.client import Client
from sites.models.firm import Firm, PaperSize
from sites.models.home import Agreement, Contact, ContactKind, Site
from sites.models.person import Person, Role
from sites.models.working import DayOff, Licence, Skill, Weekday, WorkingTime

__all__ = [
    "COUNTRY",
    "CURRENCY",
    "LANGUAGE",
    "PHONE",
    "POSITION_IS_WHOLE",
    "SITE_CODE_FORM",
    "Agreement",
    "Client",
    "Contact",
    "ContactKind",
    "DayOff",
    "Firm",
    "Licence",
    "PaperSize",
    "Person",
    "Role",
    "Site",
    "Skill",
    "Weekday",
    "WorkingTime",
    "check_time_zone",
    "position_is_whole",
]
