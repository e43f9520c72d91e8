"""What the sheet command takes for a month of the book or an evidence pack, and the journal that goes beside a pack."""

from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from django.core.management.base import CommandError
from django.utils import timezone

from fleet.management.answers import site_named
from reports.facts.errors import FactsError
from reports.facts.stretches import days_named, month_before, month_named
from reports.queries.evidence import exported, journal_lines
from reports.queries.months import book_begins
from reports.queries.subjects import Subject, digest_of, evidence_of
from sites.models import Firm


def digest_named(month: str) -> Subject:
    """The month that was typed, or the last whole one on the firm's calendar. Raises CommandError."""
    firm = Firm.objects.first() or Firm()
    today = _today(firm.time_zone)
    try:
        begins = book_begins(firm.time_zone)
        return digest_of(*(month_named(month, today, begins) if month else month_before(today)))
    except FactsError as error:
        raise CommandError(f"Nothing was issued. {error}") from None


def evidence_named(code: str, first: str, last: str) -> Subject:
    """The home of that code and the days that were typed, on its calendar. Raises CommandError."""
    if not code:
        raise CommandError(
            "Nothing was issued. CODE: an evidence pack is about one home; name it, such as KELP-7."
        )
    site = site_named(code)
    try:
        return evidence_of(site, *days_named(first, last, _today(site.time_zone)))
    except FactsError as error:
        raise CommandError(f"Nothing was issued. --{error}") from None


def write_journal(subject: Subject, out: Path) -> None:
    """The lines whose SHA-256 the pack states, one canonical JSON object (RFC 8785) a line. Raises CommandError."""
    assert subject.site is not None
    assert subject.days is not None
    try:
        out.write_bytes(exported(journal_lines(subject.site, *subject.days)))
    except OSError as error:
        raise CommandError(f"--journal {out} cannot be written: {error.strerror}") from None


def _today(zone: str) -> date:
    return timezone.now().astimezone(ZoneInfo(zone)).date()
