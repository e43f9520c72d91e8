"""Months of the book: which were issued, and which can be."""

from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Min, Value

from fleet.models import (
    Drill,
    JournalEntry,
    ReadinessChange,
    Replacement,
    Round,
    ServicePeriod,
    Snapshot,
    TrayItem,
)
from reports.facts.stretches import month_before
from reports.models import Sheet, SheetKind
from sites.models import Firm

CHOICES = 24
# What the book knows of by itself or was told with a day: a month is counted from these.
DATED = (
    (JournalEntry, "at"),
    (Snapshot, "taken_at"),
    (ReadinessChange, "at"),
    (ServicePeriod, "since"),
    (Drill, "done_at"),
    (TrayItem, "received_at"),
    (Replacement, "asked_at"),
    (Round, "started_at"),
)


def issued_months() -> list[Sheet]:
    """Every issued month, newest first, its newest revision before older ones. One statement."""
    months = Sheet.objects.filter(kind=SheetKind.DIGEST).select_related("replaced_by")
    return list(months.order_by("-about", "-revision"))


def firm_of_the_book() -> Firm:
    """The firm, or its defaults where nobody has entered one yet. One statement."""
    return Firm.objects.first() or Firm()


def book_begins(zone: str) -> date | None:
    """The first day, in this zone, of which the book has a dated row; None of an empty book. One statement."""
    firsts = [
        model.objects.order_by()
        .values(all=Value(1))
        .annotate(first=Min(field))
        .values_list("first", flat=True)
        for model, field in DATED
    ]
    found = [first for first in firsts[0].union(*firsts[1:], all=True) if first is not None]
    return min(found).astimezone(ZoneInfo(zone)).date() if found else None


def months_to_choose(newest: date, begins: date | None) -> list[date]:
    """The first days of the last two years' months since the book begins, newest first from the last whole one."""
    found: list[date] = []
    month = newest.replace(day=1)
    while begins and month >= begins.replace(day=1) and len(found) < CHOICES:
        found.append(month)
        month = month_before(month)[0]
    return found
