"""Months of the book: which were issued, and which can be."""

from datetime import date

from reports.models import Sheet, SheetKind
from sites.models import Firm

CHOICES = 24


def issued_months() -> list[Sheet]:
    """Every issued month, newest first, its newest revision before older ones. One statement."""
    months = Sheet.objects.filter(kind=SheetKind.DIGEST).select_related("replaced_by")
    return list(months.order_by("-about", "-revision"))


def firm_of_the_book() -> Firm:
    """The firm, or its defaults where nobody has entered one yet. One statement."""
    return Firm.objects.first() or Firm()


def months_to_choose(newest: date) -> list[date]:
    """The first days of the last two years' months, newest first; newest is the last whole one."""
    found = [newest.replace(day=1)]
    while len(found) < CHOICES:
        year, month = found[-1].year, found[-1].month
        found.append(date(year - (month == 1), (month - 2) % 12 + 1, 1))
    return found
