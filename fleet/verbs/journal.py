"""One line in the journal for each act, written inside the act's own transaction."""

from datetime import datetime

from fleet.models import JournalEntry


def record(who: str, what: str, subject: str, at: datetime, **details: object) -> JournalEntry:
    """Append a line. Details are plain JSON values and never secrets."""
    return JournalEntry.objects.create(at=at, who=who, what=what, subject=subject, details=details)
