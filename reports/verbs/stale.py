"""Telling which sheets show a fact that is no longer so: each newest sheet is compared once a round.

What is due is found from the rows: sheets compared last before the round's moment. A block of them is one transaction,
and whoever comes second skips it, so that several workers share the work and a killed one leaves nothing half-done.
"""

import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import InterfaceError, OperationalError, transaction
from django.db.models import QuerySet

from fleet.queries.clock import Clock
from fleet.queries.spares import SpareShelf
from fleet.verbs import journal
from reports.facts.fingerprint import changed_sections, fingerprint, sections
from reports.models import Sheet
from reports.verbs.issuing import compared, facts_today

log = logging.getLogger(__name__)

BLOCK = 20
Step = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Marked:
    """How many sheets were compared, found out of date, and could not be compared."""

    compared: int = 0
    stale: int = 0
    failed: int = 0

    def __add__(self, other: "Marked") -> "Marked":
        return Marked(self.compared + other.compared, self.stale + other.stale, self.failed + other.failed)


def due(moment: datetime) -> QuerySet[Sheet]:
    """The sheets that have not been compared as of this moment."""
    return compared().filter(checked_at__lt=moment).order_by("checked_at", "pk")


def mark_stale(
    moment: datetime, clock: Clock, until: datetime | None = None, step: Step | None = None
) -> Marked:
    """Compare what is due as of `moment` and mark what is stale; stop between two blocks after `until`.

    step is told after each block how many sheets it held.
    """
    shelf = SpareShelf.load()
    marked = Marked()
    while until is None or clock() < until:
        block = _mark_block(moment, shelf, clock())
        if not block.compared and not block.failed:
            break
        marked += block
        if step:
            step(block.compared + block.failed)
    return marked


@transaction.atomic
def _mark_block(moment: datetime, shelf: SpareShelf, now: datetime) -> Marked:
    block = list(due(moment).select_for_update(of=("self",), skip_locked=True)[:BLOCK])
    was_stale = {sheet.pk for sheet in block if sheet.stale_since}
    failed = sum(not _compare(sheet, shelf, now) for sheet in block)
    for sheet in block:
        sheet.checked_at = moment
        if sheet.stale_since and sheet.pk not in was_stale:
            details = {"number": sheet.number, "changed": sheet.changed}
            journal.record("the book", "sheet out of date", _code(sheet), now, **details)
    Sheet.objects.bulk_update(block, ["checked_at", "check_error", "stale_since", "changed"])
    return Marked(
        len(block) - failed, len([s for s in block if s.stale_since and s.pk not in was_stale]), failed
    )


def _compare(sheet: Sheet, shelf: SpareShelf, now: datetime) -> bool:
    """False where it could not be compared; the other sheets are all the same."""
    try:
        with transaction.atomic():
            _note_change(sheet, shelf, now)
    except (OperationalError, InterfaceError):
        raise
    except Exception as error:
        # The kind of error only: its text might carry what the sheet says. The log has the rest, by this number.
        number = secrets.token_hex(4)
        log.error(
            "error %s comparing sheet %s: %s", number, sheet.number, type(error).__name__, exc_info=error
        )
        sheet.check_error = f"{type(error).__name__[:60]} {number}"
        return False
    sheet.check_error = ""
    return True


def _note_change(sheet: Sheet, shelf: SpareShelf, now: datetime) -> None:
    """Set or lift the mark: a fact that was changed back makes the sheet true again."""
    today = facts_today(sheet, now, shelf)
    if today is None or fingerprint(today[1]) == sheet.fingerprint:
        sheet.stale_since, sheet.changed = None, []
        return
    sheet.stale_since = sheet.stale_since or now
    sheet.changed = list(changed_sections(sheet.shown, sections(today[1]))) if sheet.shown else []


def _code(sheet: Sheet) -> str:
    return sheet.mesh.code if sheet.mesh else sheet.site.code if sheet.site else ""
