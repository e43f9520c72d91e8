"""Which sheets somebody may read."""

from datetime import date

from django.db.models import Q, QuerySet

from reports.models import Sheet
from sites import access
from sites.models import Person


def readable_by(person: Person, today: date) -> QuerySet[Sheet]:
    """Sheets of the homes open to this person; those about a client or the whole book for who decides for the firm."""
    open_ones = Q(site__in=access.sites_for(person, today))
    if access.may_decide(person, today):
        open_ones |= Q(site=None)
    return Sheet.objects.filter(open_ones).select_related("site__client", "client", "mesh")
