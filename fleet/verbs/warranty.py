"""Radios that never worked, and claims that were made to their makers."""

from datetime import date, datetime

from django.db import transaction

from fleet.models import EndReason, Radio
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal


class WarrantyRefused(Exception):
    """Nothing was written; the sentence names the field, the value and what would be right."""


@transaction.atomic
def note_dead(radio: Radio, on: date, because: str, by: str, now: datetime) -> Radio:
    """It never worked: counted apart, and never as a failure in service. Raises WarrantyRefused."""
    if not because.strip():
        raise WarrantyRefused("because: nothing was written; say what it did not do.")
    if looks_secret(because):
        raise WarrantyRefused("because: this looks like a code or a key; write words only.")
    radio = Radio.objects.select_for_update().get(pk=radio.pk)
    if radio.dead_on_arrival_on is not None:
        raise WarrantyRefused(f"radio: {radio.code} is on record as dead on arrival already.")
    if radio.periods.exists():
        raise WarrantyRefused(
            f"radio: {radio.code} has led a mesh; that it failed is said when its replacement ends its service."
        )
    _insist_day("on", on, radio, now)
    radio.dead_on_arrival_on = on
    radio.blank_proven_at, radio.blank_proven_by = None, ""
    radio.save(update_fields=["dead_on_arrival_on", "blank_proven_at", "blank_proven_by"])
    journal.record(by, "radio dead on arrival", radio.code, now, on=str(on), because=because.strip()[:200])
    return radio


@transaction.atomic
def note_claim(radio: Radio, on: date, by: str, now: datetime) -> Radio:
    """Its maker was asked to stand for it. Raises WarrantyRefused."""
    radio = Radio.objects.select_for_update().get(pk=radio.pk)
    if radio.claimed_on is not None:
        raise WarrantyRefused(f"radio: {radio.code} was claimed on {radio.claimed_on} already.")
    failed = radio.periods.filter(why_ended=EndReason.FAILED).exists()
    if radio.dead_on_arrival_on is None and not failed:
        raise WarrantyRefused(f"radio: {radio.code} has not failed; there is nothing to claim.")
    _insist_day("on", on, radio, now)
    radio.claimed_on = on
    radio.save(update_fields=["claimed_on"])
    journal.record(by, "warranty claimed", radio.code, now, on=str(on))
    return radio


def _insist_day(name: str, on: date, radio: Radio, now: datetime) -> None:
    # A day ahead of UTC is today already in the east.
    if on > now.date() and (on - now.date()).days > 1:
        raise WarrantyRefused(f"{name}: {on} is to come; right is today or before.")
    if radio.bought_on is not None and on < radio.bought_on:
        raise WarrantyRefused(f"{name}: {on}; right is {radio.bought_on}, when it was bought, or later.")
