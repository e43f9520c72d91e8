"""Reading the journal as a chain, and checking it."""

from collections.abc import Iterable, Iterator

from django.db.models import QuerySet

from fleet.models import JournalChain, JournalEntry
from fleet.planning.journal_chain import Break, Head, Line, Link, checked

AT_ONCE = 2_000


def head() -> Head:
    """Where the book says that the chain ends."""
    row = JournalChain.objects.filter(pk=1).first()
    return Head(row.place, row.digest) if row else Head()


def not_chained() -> QuerySet[JournalEntry]:
    """Lines without a place, oldest first."""
    return JournalEntry.objects.filter(place=None).order_by("pk")


def line_of(entry: JournalEntry) -> Line:
    """A row as a line of the chain."""
    return Line(entry.at, entry.who, entry.what, entry.subject, entry.details)


def check(known: Iterable[Head] = ()) -> tuple[Head, Break | None]:
    """The head, and the first place at which the whole journal does not hold. Flat memory whatever its length."""
    ends = head()
    return ends, checked(_links(), ends, known)


def entry_at(place: int) -> JournalEntry | None:
    """The line at a place of the chain, if there is one."""
    return JournalEntry.objects.filter(place=place).first()


def _links() -> Iterator[Link]:
    chained = JournalEntry.objects.exclude(place=None).order_by("place")
    rows = chained.values_list("place", "digest", "at", "who", "what", "subject", "details")
    for place, digest, *line in rows.iterator(chunk_size=AT_ONCE):
        yield Link(place, digest, Line(*line))
