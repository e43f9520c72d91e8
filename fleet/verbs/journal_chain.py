"""Putting new lines of the journal behind its chain.

A verb writes its line without a place, so that verbs need not wait for each other; a minute's job chains what was
written since. A line that was not chained yet can still be changed unseen: that is a minute, as a rule.
"""

from datetime import datetime

from django.db import transaction

from fleet.models import JournalChain, JournalEntry
from fleet.planning.journal_chain import Head, continued
from fleet.queries.journal_chain import line_of, not_chained

AT_ONCE = 500


def seal(now: datetime, most: int = 200_000) -> int:
    """Chain what has no place yet, at most so many lines; how many it were. Several at once wait for each other."""
    sealed = 0
    while sealed < most and (done := _seal_some(now)):
        sealed += done
    return sealed


@transaction.atomic
def _seal_some(now: datetime) -> int:
    JournalChain.objects.get_or_create(pk=1)
    chain = JournalChain.objects.select_for_update().get(pk=1)
    entries = list(not_chained()[:AT_ONCE])
    if not entries:
        return 0
    links = list(continued(Head(chain.place, chain.digest), map(line_of, entries)))
    for entry, link in zip(entries, links, strict=True):
        entry.place, entry.digest = link.place, link.digest
    JournalEntry.objects.bulk_update(entries, ["place", "digest"])
    chain.place, chain.digest, chain.sealed_at = links[-1].place, links[-1].digest, now
    chain.save()
    return len(entries)
