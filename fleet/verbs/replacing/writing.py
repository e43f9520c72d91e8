"""Giving out the document for the new radio of a replacement: the ledger's number first, and only to a silent house."""

from datetime import datetime

from django.db import transaction

from fleet.models import Radio, RadioState, Replacement, Snapshot
from fleet.planning.replacing.states import State
from fleet.verbs.grant import Grant, Request, restore_document
from fleet.verbs.replacing.moving import MoveRefused, locked, record_move

MAY_BE_WRITTEN = (State.SILENCED, State.WRITTEN)


@transaction.atomic
def give_out(
    swap: Replacement, by: str, now: datetime, second: str = "", snapshot: Snapshot | None = None
) -> Grant:
    """The document with a fresh number, and the replacement stands at written.

    Again from written: every attempt gets a higher number. Raises MoveRefused, or GrantRefused as restoring does.
    """
    swap = locked(swap)
    if swap.stands not in MAY_BE_WRITTEN:
        raise MoveRefused(
            f"state: it is {swap.stands.words}; the document is given out once the old radio is recorded silenced."
        )
    if swap.new_radio is None:
        raise MoveRefused("new_radio: none is chosen.")
    speaking = swap.mesh.periods.filter(until=None).select_related("radio").first()
    if speaking is not None:
        raise MoveRefused(
            f"{speaking.radio.code} speaks for {swap.mesh.code} still; record it silenced first."
        )
    if swap.new_radio.state != RadioState.PREPARED:
        state = swap.new_radio.get_state_display().lower()
        raise MoveRefused(f"new_radio: {swap.new_radio.code} is {state}; only a prepared one is written.")
    request = Request(swap.new_radio, by, f"Replacement: {swap.asked_because}", second)
    grant = restore_document(swap.mesh, request, now, snapshot)
    again = swap.stands is State.WRITTEN
    Radio.objects.filter(pk=swap.new_radio_id).update(blank_proven_at=None, blank_proven_by="")
    swap.number, swap.copy = grant.start.value, grant.snapshot
    if again:
        swap.save(update_fields=["number", "copy"])
    else:
        record_move(swap, State.WRITTEN, by, now)
    return grant
