"""What the firm thinks of a build, its place in the order, how a model's builds are numbered, and new builds."""

import re
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.models import (
    FirmwarePolicy,
    FirmwareRelease,
    Numbering,
    Passage,
    PassageState,
    PassageTurn,
    RadioModel,
    ReleaseChange,
)
from fleet.planning.capabilities import FirmwareState
from fleet.planning.firmware_use import HELD_BACK
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal

HIGHEST = 2**31 - 1
SHA_256 = re.compile(r"[0-9a-f]{64}")


class FirmwareRefused(Exception):
    """Nothing was written; the sentence names the field, the value and what would be right."""


@transaction.atomic
def set_policy(
    release: FirmwareRelease, to: FirmwarePolicy, because: str, by: str, now: datetime
) -> ReleaseChange:
    """Another policy on a build. Held or barred, it stops a passage that brings it out. Raises FirmwareRefused."""
    words = _reason(because)
    row = _locked(release)
    if row.policy == to:
        raise FirmwareRefused(f"policy: {row} is {to.label.lower()} already; choose another.")
    change = ReleaseChange.objects.create(
        release=row, what="policy", was=row.policy, became=to.value, because=words, at=now, by=by[:120]
    )
    row.policy, row.policy_reason = to, words
    row.save(update_fields=["policy", "policy_reason"])
    details = {"was": change.was, "became": change.became, "because": words}
    journal.record(by, "firmware policy set", str(row), now, **details)
    if FirmwareState(to.value) in HELD_BACK:
        _stop_passages(row, to, by, now)
    return change


def _stop_passages(release: FirmwareRelease, to: FirmwarePolicy, by: str, now: datetime) -> None:
    under_way = Passage.objects.select_for_update().filter(target=release, state=PassageState.UNDER_WAY)
    for passage in under_way:
        passage.state = PassageState.STOPPED
        passage.save(update_fields=["state"])
        because = f"{release.version} is {to.label.lower()} now"
        PassageTurn.objects.create(passage=passage, what="stopped", at=now, by=by[:120], because=because)
        journal.record(by, "passage stopped", str(release), now, because=because)


@transaction.atomic
def set_order(
    release: FirmwareRelease, place: int | None, because: str, by: str, now: datetime
) -> ReleaseChange:
    """A place in the order of its model that goes before what its text says; None takes it away.

    Raises FirmwareRefused.
    """
    words = _reason(because)
    if place is not None and not 0 <= place <= HIGHEST:
        raise FirmwareRefused(f"place: {place}; right is a whole number from 0 to {HIGHEST}.")
    row = _locked(release)
    if row.order_key == place:
        has = "has no place" if place is None else f"has place {place}"
        raise FirmwareRefused(f"place: {row} {has} already; give another.")
    change = ReleaseChange.objects.create(
        release=row,
        what="order",
        was="" if row.order_key is None else str(row.order_key),
        became="" if place is None else str(place),
        because=words,
        at=now,
        by=by[:120],
    )
    row.order_key = place
    row.save(update_fields=["order_key"])
    details = {"was": change.was, "became": change.became, "because": words}
    journal.record(by, "firmware order set", str(row), now, **details)
    return change


@transaction.atomic
def say_numbering(model: RadioModel, numbering: str, by: str, now: datetime) -> RadioModel:
    """How a model's builds are numbered; empty: their texts are not compared. Raises FirmwareRefused."""
    if numbering and numbering not in Numbering.values:
        raise FirmwareRefused(
            f"numbering: “{numbering}”; right is one of {', '.join(Numbering.values)}, or nothing."
        )
    row = RadioModel.objects.select_for_update().get(pk=model.pk)
    was, row.numbering = row.numbering, numbering
    row.save(update_fields=["numbering"])
    journal.record(by, "firmware numbering said", row.code, now, was=was, became=numbering)
    return row


@transaction.atomic
def enter_release(
    model: RadioModel, version: str, by: str, now: datetime, band_plan: str = "", digest: str = ""
) -> FirmwareRelease:
    """A build that was seen for the first time; what may be done with it is said afterwards. Raises FirmwareRefused."""
    for name, text in (("version", version), ("band_plan", band_plan)):
        if looks_secret(text):
            raise FirmwareRefused(f"{name}: this looks like a key; write the version as its maker does.")
    if digest and not SHA_256.fullmatch(digest.strip().lower()):
        raise FirmwareRefused("digest: this is no SHA-256; right is 64 digits from 0 to 9 and a to f.")
    row = FirmwareRelease(
        model=model, version=version.strip(), band_plan=band_plan.strip(), digest=digest.strip().lower()
    )
    try:
        row.full_clean()
    except ValidationError as error:
        field, told = next(iter(error.message_dict.items()))
        if field == "__all__":
            raise FirmwareRefused(f"version: {model} has a build {row.version} already.") from None
        raise FirmwareRefused(f"{field}: {told[0]}") from None
    row.save(force_insert=True)
    journal.record(by, "firmware entered", str(row), now, band_plan=row.band_plan)
    return row


def _locked(release: FirmwareRelease) -> FirmwareRelease:
    """The row, held until the transaction ends; locked before it is joined (see verbs.stock)."""
    FirmwareRelease.objects.select_for_update().get(pk=release.pk)
    return FirmwareRelease.objects.select_related("model").get(pk=release.pk)


def _reason(because: str) -> str:
    """It goes into the journal."""
    words = because.strip()
    if not words:
        raise FirmwareRefused("because: nothing was written; say in a few words why.")
    if looks_secret(words):
        raise FirmwareRefused("because: this looks like a code or a key; write words only.")
    if len(words) > 200:
        raise FirmwareRefused(f"because: {len(words)} letters; right is 200 at most.")
    return words
