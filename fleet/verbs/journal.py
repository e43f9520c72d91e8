"""One line in the journal for each act, written inside the act's own transaction."""

from datetime import datetime

from fleet.models import JournalEntry


def record(who: str, what: str, subject: str, at: datetime, **details: object) -> JournalEntry:
    """Append a line. Details are plain JSON values and never secrets."""
    row = line(who, what, subject, at, **details)
    row.save(force_insert=True)
    return row


def line(who: str, what: str, subject: str, at: datetime, **details: object) -> JournalEntry:
    """The same line for a verb that writes it together with other rows."""
    return JournalEntry(at=at, who=who, what=what, subject=subject, details=details)
