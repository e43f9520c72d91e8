"""Making stale sheets anew in the background, each once, by as many workers as there are.

Rows hold what is to be made; the queue is only a hint. A sheet is claimed by one conditional update and made; a worker
that is killed leaves a claim that lapses, and whoever comes next goes on. A sheet that another has replaced meanwhile
counts as made: there are never two revisions for one change (verbs.issuing).
"""

import logging
import secrets
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

from django.db import InterfaceError, OperationalError, transaction
from django.db.models import F, Q, QuerySet

from fleet.queries.clock import Clock
from fleet.queries.spares import SpareShelf
from fleet.verbs import journal
from reports.models import Remaking, Sheet, SheetToMake
from reports.verbs.issuing import compared, revise

log = logging.getLogger(__name__)

# Longer than any sheet takes to draw, many times over.
CLAIM = timedelta(minutes=2)
# A sheet that was claimed so often and never finished kills its workers: it is stepped over.
MOST_TRIES = 5
Step = Callable[[], None]


def stale() -> QuerySet[Sheet]:
    """The newest sheets that are marked as out of date."""
    return compared().filter(stale_since__isnull=False)


@transaction.atomic
def begin(sheets: Iterable[Sheet], by: str, now: datetime) -> Remaking | None:
    """Write down that these are to be made anew; nobody works on it yet. None where all of them wait already."""
    numbers = sorted(sheet.pk for sheet in sheets)
    # Held in order, so that two who ask at once for the same sheets neither lock each other out nor ask twice.
    held = list(Sheet.objects.select_for_update().filter(pk__in=numbers).order_by("pk"))
    waiting = set(_waiting().filter(sheet__in=held).values_list("sheet_id", flat=True))
    wanted = [sheet for sheet in held if sheet.pk not in waiting]
    if not wanted:
        return None
    remaking = Remaking.objects.create(started_at=now, asked_by=by[:120], total=len(wanted))
    SheetToMake.objects.bulk_create(SheetToMake(remaking=remaking, sheet=sheet) for sheet in wanted)
    journal.record(by, "sheets to be made anew", "", now, sheets=len(wanted))
    return remaking


def due(now: datetime) -> QuerySet[SheetToMake]:
    """What waits and nobody holds."""
    return _waiting().filter(Q(held_until=None) | Q(held_until__lt=now))


def work(clock: Clock, until: datetime | None = None, step: Step | None = None) -> int:
    """Make what is due, oldest wish first; stop between two sheets after `until`. How many were dealt with."""
    shelf = SpareShelf.load()
    dealt_with = 0
    while (until is None or clock() < until) and (item := _claim(clock())):
        _make(item, shelf, clock)
        dealt_with += 1
        if step:
            step()
    return dealt_with


def _claim(now: datetime) -> SheetToMake | None:
    for item in due(now).order_by("pk")[:20]:
        if due(now).filter(pk=item.pk).update(held_until=now + CLAIM, tries=F("tries") + 1):
            return SheetToMake.objects.select_related("remaking").get(pk=item.pk)
    return None


def _make(item: SheetToMake, shelf: SpareShelf, clock: Clock) -> None:
    """One sheet. Trouble with it is noted and the next one follows; trouble with the database is raised."""
    if item.tries > MOST_TRIES:
        _done(item, clock(), error="WorkerLost")
        return
    try:
        sheet = compared().filter(pk=item.sheet_id).first()
        made = revise(sheet, item.remaking.asked_by, clock(), shelf) if sheet else None
    except (OperationalError, InterfaceError):
        raise
    except Exception as error:
        number = secrets.token_hex(4)
        log.error(
            "error %s making sheet %s anew: %s", number, item.sheet_id, type(error).__name__, exc_info=error
        )
        _done(item, clock(), error=type(error).__name__[:60], error_id=number)
        return
    if sheet and not made:
        # The fact was changed back meanwhile.
        Sheet.objects.filter(pk=sheet.pk).update(stale_since=None, changed=[])
    _done(item, clock(), made=made)


@transaction.atomic
def _done(item: SheetToMake, now: datetime, **outcome: object) -> None:
    """Put down what became of it, and close the whole after the last one; only whoever still waits for it does."""
    remaking = Remaking.objects.select_for_update().get(pk=item.remaking_id)
    if not _waiting().filter(pk=item.pk).update(done_at=now, held_until=None, **outcome):
        return
    if not _waiting().filter(remaking=remaking).exists():
        remaking.finished_at = now
        remaking.save(update_fields=["finished_at"])
        failed = remaking.sheets.exclude(error="").count()
        journal.record(
            remaking.asked_by, "sheets made anew", "", now, sheets=remaking.total - failed, errors=failed
        )


def _waiting() -> QuerySet[SheetToMake]:
    return SheetToMake.objects.filter(done_at=None)
