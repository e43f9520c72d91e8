"""Moving radios between places, and writing down what was done to those that do not lead a mesh."""

from datetime import datetime

from django.db import transaction

from fleet.models import FirmwareRelease, Place, Radio, RadioState, StockMove
from fleet.planning.radio_states import HOLDS_A_KEY, IllegalStanding, RadioStanding, insist_by_hand
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal


class StockRefused(Exception):
    """Nothing was written; the sentence names the field, the value and what would be right."""


@transaction.atomic
def move_radio(
    radio: Radio,
    target: Place | None,
    seen: Place | None,
    because: str,
    by: str,
    now: datetime,
    spot: str = "",
) -> StockMove:
    """From the place where somebody saw it to another; None is outside the firm. Raises StockRefused.

    spot: where exactly it lies there; what was said of the place before holds no longer.
    """
    _insist_words(because)
    radio = _locked(radio)
    if radio.place_id != (seen.pk if seen else None):
        where = radio.place.name if radio.place else "in no place of the book"
        raise StockRefused(f"from: {radio.code} is {where} already; look again before you move it.")
    if radio.state == RadioState.ON_AIR:
        raise StockRefused(f"radio: {radio.code} is on air; a replacement silences it first.")
    if (target.pk if target else None) == radio.place_id:
        raise StockRefused(f"to: {radio.code} lies there already; choose another place.")
    if target is None and not because.strip():
        raise StockRefused(f"because: say why {radio.code} leaves the firm.")
    _insist_away_from_home(radio, target)
    if radio.state in HOLDS_A_KEY and target is None:
        raise StockRefused(f"to: {radio.code} may hold a live key; wipe it before it leaves the firm.")
    moved = StockMove.objects.create(
        radio=radio, source=radio.place, target=target, at=now, by=by[:120], because=because.strip()[:200]
    )
    radio.place = target
    radio.spot, radio.feed, radio.breaker = spot.strip()[:200], "", ""
    radio.save(update_fields=["place", "spot", "feed", "breaker"])
    journal.record(
        by,
        "radio moved",
        radio.code,
        now,
        source=moved.source.code if moved.source else "",
        target=target.code if target else "",
        because=moved.because,
    )
    return moved


@transaction.atomic
def say_where(radio: Radio, spot: str, feed: str, breaker: str, by: str, now: datetime) -> Radio:
    """Where exactly a radio hangs or lies, and what feeds it; of one on air too."""
    radio = _locked(radio)
    radio.spot, radio.feed, radio.breaker = spot.strip()[:200], feed.strip()[:120], breaker.strip()[:60]
    radio.save(update_fields=["spot", "feed", "breaker"])
    journal.record(by, "radio's place described", radio.code, now)
    return radio


@transaction.atomic
def prove_blank(radio: Radio, by: str, now: datetime) -> Radio:
    """Somebody read it out and found nothing. Raises StockRefused for one that speaks, or is part of a swap."""
    radio = _locked(radio)
    _insist_spent(radio)
    if radio.state in (*HOLDS_A_KEY, RadioState.SCRAPPED, RadioState.MISSING):
        raise StockRefused(f"radio: {radio.code} is {_words(radio)}; wipe it first, then read it out.")
    if not by.strip():
        raise StockRefused("by: nobody was named; a proof has a name and a day.")
    radio.blank_proven_at, radio.blank_proven_by = now, by[:120]
    radio.save(update_fields=["blank_proven_at", "blank_proven_by"])
    journal.record(by, "radio proven blank", radio.code, now)
    return radio


@transaction.atomic
def set_state(radio: Radio, to: RadioState, because: str, by: str, now: datetime) -> Radio:
    """A state that may be set by hand. One that turns up again is taken for one that holds a key."""
    _insist_words(because)
    radio = _locked(radio)
    was = radio.state
    if to != RadioState.MISSING:
        _insist_spent(radio)
    try:
        insist_by_hand(RadioStanding(was), RadioStanding(to))
    except IllegalStanding as error:
        raise StockRefused(str(error)) from None
    if to == RadioState.MISSING and not because.strip():
        raise StockRefused("because: say where it was seen last; a missing radio opens a key incident.")
    radio.state = to
    if RadioState.MISSING in (was, to):
        radio.blank_proven_at, radio.blank_proven_by = None, ""
    radio.save(update_fields=["state", "blank_proven_at", "blank_proven_by"])
    journal.record(by, f"radio {_words(radio)}", radio.code, now, was=was, because=because.strip()[:200])
    return radio


@transaction.atomic
def put_firmware(radio: Radio, release: FirmwareRelease, by: str, now: datetime) -> Radio:
    """Another build was written to it. Whether it is blank must be proven again. Raises StockRefused."""
    radio = _locked(radio)
    _insist_spent(radio)
    if release.model_id != radio.model_id:
        raise StockRefused(f"firmware: {release} is not for {radio.model}; choose a build of that model.")
    if release.pk == radio.firmware_id:
        raise StockRefused(f"firmware: {release.version} is on {radio.code} already.")
    radio.firmware = release
    radio.blank_proven_at, radio.blank_proven_by = None, ""
    radio.save(update_fields=["firmware", "blank_proven_at", "blank_proven_by"])
    journal.record(by, "firmware put on radio", radio.code, now, version=release.version)
    return radio


def _locked(radio: Radio) -> Radio:
    """The row, held until the transaction ends.

    Locked before it is joined: PostgreSQL reads a row again that it waited for, but not what was joined to it, so that
    the place would be that of before, or none.
    """
    Radio.objects.select_for_update().get(pk=radio.pk)
    return Radio.objects.select_related("place", "model", "firmware").get(pk=radio.pk)


def _insist_words(because: str) -> None:
    """It goes into the journal."""
    if looks_secret(because):
        raise StockRefused("because: this looks like a code or a key; write words only.")


NEW_IS_NEEDED = ("silenced", "written", "waking", "accepted", "backing_out", "stranded")
OLD_IS_NEEDED = ("silenced", "written", "waking", "backing_out", "stranded", "backed_out")
"""States of a replacement in which its radios hold the home's key, or may yet have to speak."""


def _insist_spent(radio: Radio) -> None:
    needed = radio.replacing_in.filter(state__in=NEW_IS_NEEDED) | radio.replaced_in.filter(
        state__in=OLD_IS_NEEDED
    )
    if swap := needed.select_related("mesh").first():
        raise StockRefused(
            f"radio: {radio.code} is part of the replacement of {swap.mesh.code}, which is {swap.stands.words}; "
            "end that first."
        )

    if drill := radio.rehearsals.filter(ended_at=None).select_related("mesh").first():
        raise StockRefused(f"radio: {radio.code} is in a drill of {drill.mesh.code}; end that first.")


def _insist_away_from_home(radio: Radio, target: Place | None) -> None:
    """A spare that a drill wrote speaks as the home's own radio; it stays out of reach until it was wiped."""
    if target is None or target.site_id is None or radio.blank_proven_at is not None:
        return
    drill = radio.rehearsals.filter(written_at__isnull=False).select_related("mesh").first()
    if drill is not None and drill.mesh.site_id == target.site_id:
        raise StockRefused(
            f"to: {radio.code} may hold the key of {drill.mesh.code} from a drill; wipe it and prove it blank before "
            "it goes there."
        )


def _words(radio: Radio) -> str:
    return RadioStanding(radio.state).words
