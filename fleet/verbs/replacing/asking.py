"""Asking for a replacement, and writing down what is agreed about it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.models import FirmwarePolicy, Mesh, Radio, RadioState, Replacement, ReplacementMove
from fleet.planning.replacing.states import State
from fleet.queries.readiness import head_in_service
from fleet.queries.spares import STANDING_BY
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal
from fleet.verbs.replacing.moving import MoveRefused, locked
from fleet.verbs.replacing.visit_over import stop_against

PLANNED = (
    "new_radio",
    "technician",
    "second",
    "needs_licence",
    "needs_two",
    "begins_at",
    "ends_at",
    "frost_forecast_c",
    "consent_by",
    "fall_backs_told",
    "way_back_read",
)
"""What may be written down until the old radio is silenced."""
BEFORE_PACKING = (State.ASKED, State.AGREED)


@dataclass(frozen=True, slots=True)
class Wish:
    """Why a mesh is to have another radio: the kind of reason, and it in words."""

    why: str
    because: str
    new_radio: Radio | None = None


@transaction.atomic
def ask(mesh: Mesh, wish: Wish, by: str, now: datetime) -> Replacement:
    """Begin a replacement. Raises MoveRefused."""
    mesh = Mesh.objects.select_for_update(of=("self",)).select_related("site__client").get(pk=mesh.pk)
    if mesh.site.client.erased_at is not None:
        raise MoveRefused(f"{mesh.code} was erased with its client; there is nothing to replace.")
    if not wish.because.strip():
        raise MoveRefused("asked_because: nothing was written; say in a few words why.")
    if looks_secret(wish.because):
        raise MoveRefused("asked_because: this looks like a code or a key; write words only.")
    under_way = mesh.replacements.under_way().first()
    if under_way is not None:
        raise MoveRefused(
            f"{mesh.code}: a replacement is {under_way.stands.words} already; go on with that one."
        )
    head = head_in_service(mesh)
    if wish.new_radio is not None:
        wish = replace(wish, new_radio=Radio.objects.select_for_update().get(pk=wish.new_radio.pk))
    swap = Replacement(
        mesh=mesh,
        why=wish.why,
        asked_because=wish.because.strip()[:200],
        asked_at=now,
        asked_by=by[:120],
        old_radio=head.radio if head else None,
        new_radio=wish.new_radio,
        moved_at=now,
    )
    _insist_on_radio(swap)
    _insist_whole(swap)
    swap.save(force_insert=True)
    ReplacementMove.objects.create(replacement=swap, became=swap.state, at=now, by=by[:120])
    journal.record(by, "replacement asked", mesh.code, now, why=swap.why, because=swap.asked_because)
    return swap


@transaction.atomic
def plan(swap: Replacement, changes: Mapping[str, Any], by: str, now: datetime) -> Replacement:
    """Write down what was agreed; only names of PLANNED. Raises MoveRefused.

    The radio can no longer be changed once it is packed. A time that changes takes consent and forecast with it only
    where the caller says so.
    """
    swap = locked(swap)
    if swap.stands not in (*BEFORE_PACKING, State.PACKED, State.ARRIVED):
        raise MoveRefused(f"state: it is {swap.stands.words}; what was agreed can no longer be changed.")
    changed = [name for name in PLANNED if name in changes and getattr(swap, name) != changes[name]]
    stop = stop_against(swap, {name: changes[name] for name in changed})
    if stop is not None:
        raise MoveRefused(
            f"begins_at: visit {stop.visit.code} is in a plan in force, {stop.begin_at:%Y-%m-%d %H:%M} UTC with "
            f"{stop.day.technician}; move it in that plan, or drop the visit first."
        )
    if "new_radio" in changed and swap.stands not in BEFORE_PACKING:
        raise MoveRefused("new_radio: one is packed already; drop this replacement to take another radio.")
    booked = swap.new_radio
    if changes.get("new_radio") is not None:
        wanted = Radio.objects.select_for_update().get(pk=changes["new_radio"].pk)
        changes = {**changes, "new_radio": wanted}
    for name in changed:
        setattr(swap, name, changes[name])
    if "new_radio" in changed:
        _insist_on_radio(swap)
        _change_booking(booked, swap)
    _insist_whole(swap)
    swap.save()
    if changed:
        journal.record(by, "replacement planned", swap.mesh.code, now, changed=changed)
    return swap


def _insist_on_radio(swap: Replacement) -> None:
    radio = swap.new_radio
    if radio is None:
        return
    if radio.state not in STANDING_BY:
        raise MoveRefused(f"new_radio: {radio.code} is {radio.get_state_display().lower()}; choose a spare.")
    if radio.firmware is not None and radio.firmware.policy == FirmwarePolicy.BARRED:
        raise MoveRefused(
            f"new_radio: firmware {radio.firmware.version} on {radio.code} is barred; put an allowed build on it, or "
            "choose another radio."
        )
    elsewhere = radio.replacing_in.under_way().exclude(pk=swap.pk)
    if other := elsewhere.select_related("mesh").first():
        raise MoveRefused(f"new_radio: {radio.code} is meant for {other.mesh.code}; choose another.")


def _change_booking(before: Radio | None, swap: Replacement) -> None:
    """A radio that is agreed on is booked; one that is let go of is free again."""
    if before is not None and before.state == RadioState.BOOKED:
        Radio.objects.filter(pk=before.pk).update(state=RadioState.SHELVED)
    if swap.stands is State.AGREED and swap.new_radio and swap.new_radio.state == RadioState.SHELVED:
        Radio.objects.filter(pk=swap.new_radio.pk).update(state=RadioState.BOOKED)


def _insist_whole(swap: Replacement) -> None:
    try:
        swap.full_clean(exclude=["copy"])
    except ValidationError as error:
        field, told = next(iter(error.message_dict.items()))
        name = "" if field == "__all__" else f"{field}: "
        raise MoveRefused(f"{name}{told[0]}") from None
