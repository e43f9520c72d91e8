"""What changes the rows of this room: one transaction and one journal line each.

The journal lies in a room above, so whoever joins the rooms hands its pen in (see fleet.config.urls).
"""

from datetime import datetime
from typing import Protocol

from django.db import transaction

from sites.models import Agreement, Client, Contact, Site


class Record(Protocol):
    """Writes one journal line; the details are plain values, never secrets."""

    def __call__(self, who: str, what: str, subject: str, at: datetime, **details: object) -> object: ...


Row = Client | Site | Contact | Agreement


@transaction.atomic
def put_down(row: Row, changed: list[str], by: str, now: datetime, record: Record) -> None:
    """Save a new or changed row. Names of fields go to the journal; what was typed does not, as it may be personal."""
    verb = "entered" if row.pk is None else "changed"
    row.save()
    record(by, f"{row._meta.verbose_name} {verb}", subject_of(row), now, fields=sorted(changed))


@transaction.atomic
def strike_contact(contact: Contact, by: str, now: datetime, record: Record) -> None:
    """Take somebody off the list of people to call."""
    subject = subject_of(contact)
    contact.delete()
    record(by, "contact struck out", subject, now)


def subject_of(row: Row) -> str:
    """What the journal calls it: a home's code, or a client's own mark."""
    if isinstance(row, Client):
        return str(row.uid)
    return row.code if isinstance(row, Site) else row.site.code
