"""Noting that a sheet hangs at the home, and that the one before it was taken down."""

from datetime import datetime

from django.db import transaction

from fleet.verbs import journal
from reports.models import ON_A_WALL, Sheet
from reports.verbs.links import is_erased


class HangError(Exception):
    """What cannot hang on a wall, and what would be right."""


@transaction.atomic
def hang(sheet: Sheet, by: str, now: datetime) -> Sheet:
    """Put down who saw it hang there; the first who said so stays. Raises HangError for all but a sheet in force."""
    held = Sheet.objects.select_for_update(of=("self",)).get(pk=sheet.pk)
    if held.kind not in ON_A_WALL:
        raise HangError(
            f"{held.number} is a {held.get_kind_display().lower()}; hand-over and recovery sheets hang on walls."
        )
    newer = Sheet.objects.filter(replaces=held).values_list("number", flat=True).first()
    if newer:
        raise HangError(f"{held.number} was replaced; hang {newer} there.")
    if is_erased(sheet):
        raise HangError(f"{held.number} is of a client who was erased; take it down.")
    if held.hung_at is None:
        held.hung_at, held.hung_by = now, by[:120]
        held.save(update_fields=["hung_at", "hung_by"])
        subject = sheet.mesh.code if sheet.mesh else sheet.site.code if sheet.site else ""
        journal.record(by, "sheet hung", subject, now, number=held.number)
    return held
