"""Moving a replacement on: only drawn moves, each under a lock, with its guard, its effects and who did it.

What a move does to radios and service periods happens here and nowhere else, so that never two radios speak with one
identity: the old one's period ends when it is recorded silenced, and only then may another begin.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.models import (
    AddressPolicy,
    Drill,
    DrillKind,
    DrillResult,
    EndReason,
    Mesh,
    Radio,
    RadioState,
    Replacement,
    ReplacementMove,
    ServicePeriod,
    SilenceProof,
    Silencing,
)
from fleet.planning.replacing.callbacks import WATCH
from fleet.planning.replacing.preflight import Finding, Item, Met, preflight
from fleet.planning.replacing.settling import settle
from fleet.planning.replacing.states import ENDED, NEW_SPEAKS, IllegalMove, State, insist_on_move
from fleet.queries.replacing.numbers import number_for_old
from fleet.queries.replacing.preflight import against_now, preflight_facts, rows_of
from fleet.queries.replacing.settling import watched
from fleet.queries.spares import STANDING_BY
from fleet.snapshots import digests
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal
from fleet.verbs.replacing.photos import made_small, seal_photo
from fleet.verbs.replacing.visit_over import end_visit
from fleet.verbs.two_people import are_one

MAY_HOLD_THE_KEY = (RadioState.ON_AIR, RadioState.SILENCED)
MAY_SPEAK = (RadioState.PREPARED, RadioState.SILENCED)
JUDGED_ANEW = (Item.WINDOW, Item.COPY, Item.NUMBER)
"""What is not asked again at the door: the hour is, by itself, and the copy was taken on the day it was packed."""


class MoveRefused(Exception):
    """Nothing was moved; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Step:
    """One move that somebody makes. seen: the state that they saw when they decided on it.

    silencing, photo and second are the proof that a radio no longer speaks, for the moves that ask for one; photo is
    the octets of a picture, second the name of somebody else of the firm who has proven who they are: they saw it, or
    agree to an hour that speaks against the work. without_number: the old radio comes back as it stands, and is deaf.
    """

    to: State
    seen: State
    by: str
    note: str = ""
    silencing: Silencing | None = None
    photo: bytes | None = field(default=None, repr=False)
    second: str = ""
    without_number: bool = False


@transaction.atomic
def move(swap: Replacement, step: Step, now: datetime) -> Replacement:
    """Make the move. Raises MoveRefused, or PhotoRefused for a picture that cannot be read."""
    swap = locked(swap)
    _insist(swap, step)
    ENTER.get(step.to, _nothing)(swap, step, now)
    return record_move(swap, step.to, step.by, now, step.note)


def locked(swap: Replacement) -> Replacement:
    """The row, held until the transaction ends, with its mesh held first: verbs hold meshes before all else."""
    Mesh.objects.select_for_update(of=("self",)).get(pk=swap.mesh_id)
    held = Replacement.objects.select_for_update(of=("self",)).get(pk=swap.pk)
    # Its radios too, before they are joined: somebody may be moving one on the shelf at this moment.
    radios = [pk for pk in (held.old_radio_id, held.new_radio_id) if pk]
    list(Radio.objects.select_for_update(of=("self",)).filter(pk__in=radios).order_by("pk"))
    near = ("mesh__site__client", "old_radio__model", "old_radio__firmware", "new_radio__model")
    rows = Replacement.objects.select_related(*near, "new_radio__firmware", "technician", "second")
    return rows.get(pk=swap.pk)


def record_move(swap: Replacement, to: State, by: str, now: datetime, note: str = "") -> Replacement:
    """Write the state, the move and the journal's line."""
    was = swap.state
    swap.state, swap.moved_at = to.value, now
    swap.save()
    ReplacementMove.objects.create(
        replacement=swap, was=was, became=to.value, at=now, by=by[:120], note=note.strip()[:300]
    )
    journal.record(
        by,
        f"replacement {to.words}",
        swap.mesh.code,
        now,
        was=was,
        old=swap.old_radio.code if swap.old_radio else "",
        new=swap.new_radio.code if swap.new_radio else "",
        note=note.strip()[:300],
    )
    if to is State.ACCEPTED or to in ENDED:
        end_visit(swap, by, now)
    return swap


def _insist(swap: Replacement, step: Step) -> None:
    if swap.stands is not step.seen:
        last = swap.moves.last()
        who = f" by {last.by} at {last.at:%H:%M} UTC" if last else ""
        raise MoveRefused(f"state: it is {swap.stands.words} already{who}; look again before you go on.")
    if looks_secret(step.note):
        raise MoveRefused(
            "note: this looks like a code or a key; the note goes into the journal, so write words only."
        )
    if swap.mesh.site.client.erased_at is not None:
        raise MoveRefused(f"{swap.mesh.code} was erased with its client; its replacement stays as it is.")
    try:
        insist_on_move(swap.stands, step.to)
    except IllegalMove as error:
        raise MoveRefused(str(error)) from None


def _insist_note(step: Step, right: str) -> None:
    if not step.note.strip():
        raise MoveRefused(f"note: {right}")


def _nothing(swap: Replacement, step: Step, now: datetime) -> None:
    """Most moves ask for nothing and change nothing else."""


def _agree(swap: Replacement, step: Step, now: datetime) -> None:
    if not swap.consent_by:
        raise MoveRefused("consent_by: nobody in the house has agreed yet; write down who did.")
    _insist_stands_by(swap)
    if swap.new_radio.state in (RadioState.SHELVED, RadioState.WIPED):
        _put(swap.new_radio, RadioState.BOOKED)


def _insist_stands_by(swap: Replacement) -> None:
    radio = swap.new_radio
    if radio is None:
        raise MoveRefused("new_radio: none is chosen; choose the radio that is to take over.")
    if radio.state not in STANDING_BY:
        raise MoveRefused(f"new_radio: {radio.code} is {radio.get_state_display().lower()}; choose another.")


def _open_items(swap: Replacement, now: datetime) -> list[Finding]:
    return [each for each in preflight(preflight_facts(rows_of(swap, now), now)) if each.met is not Met.YES]


def _said(finding: Finding) -> str:
    return f"{finding.item.value.replace('_', ' ')}: {finding.reason} {finding.act}"


def _pack(swap: Replacement, step: Step, now: datetime) -> None:
    _insist_stands_by(swap)
    if wanting := _open_items(swap, now):
        rest = f" {len(wanting) - 1} more of the 12 are open." if len(wanting) > 1 else ""
        raise MoveRefused(f"{_said(wanting[0])}{rest}")
    _put(swap.new_radio, RadioState.PREPARED)


def _drop(swap: Replacement, step: Step, now: datetime) -> None:
    _insist_note(step, "say in a few words why it is dropped.")
    if swap.new_radio and swap.new_radio.state in (RadioState.BOOKED, RadioState.PREPARED):
        _put(swap.new_radio, RadioState.SHELVED)


def _arrive(swap: Replacement, step: Step, now: datetime) -> None:
    """What held when it was packed must hold at the door: frost, night and days of rest are judged again."""
    _insist_stands_by(swap)
    changed = [each for each in _open_items(swap, now) if each.item not in JUDGED_ANEW]
    if changed:
        raise MoveRefused(_said(changed[0]))
    against = against_now(swap, now)
    if against and not step.second.strip():
        raise MoveRefused(
            f"window: against this hour: {'; '.join(against)}. A second person must agree to it."
        )


def _silence(swap: Replacement, step: Step, now: datetime) -> None:
    """The old radio no longer speaks: its period ends here."""
    _arrive(swap, step, now)
    if swap.old_radio is not None:
        _prove_silence(swap, swap.old_radio, step, now)
        _off_air(swap.old_radio, swap, step, now, EndReason(swap.why))


def _insist_silent(swap: Replacement, step: Step, now: datetime) -> None:
    """Writing is its own verb, which gives the number out: verbs.replacing.writing."""
    raise MoveRefused("state: give the document out on the card; that is what makes the radio written.")


def _wake(swap: Replacement, step: Step, now: datetime) -> None:
    """The new radio goes on air, under the mesh's identity; the database refuses a second voice."""
    if swap.stands is State.STRANDED:
        _insist_note(step, "say under which number, or that its devices are joined anew.")
    _on_air(swap.new_radio, swap.old_radio, swap, now)
    swap.first_word_at = now


def _accept(swap: Replacement, step: Step, now: datetime) -> None:
    if swap.first_word_at is None:
        raise MoveRefused("state: nobody recorded when the new radio went on air.")
    against = settle(watched(swap), swap.first_word_at, now).against
    if against:
        raise MoveRefused(f"state: not yet accepted, because {'; '.join(against)}.")
    swap.watched_until = now + WATCH
    _note_trial(swap, now, DrillResult.PASSED, step.by)


def _close(swap: Replacement, step: Step, now: datetime) -> None:
    """After the watch, and once no radio with a live key lies about."""
    if swap.stands is State.ACCEPTED:
        if swap.watched_until is not None and now < swap.watched_until:
            raise MoveRefused(f"state: it is watched until {swap.watched_until:%Y-%m-%d}; close it then.")
        spent = swap.old_radio
    else:
        spent = swap.new_radio
    if spent is not None and spent.state in MAY_HOLD_THE_KEY:
        raise MoveRefused(
            f"{spent.code}: it may hold the key still; wipe it and note who read it out, or record it as scrapped."
        )


def _begin_back_out(swap: Replacement, step: Step, now: datetime) -> None:
    """The new radio must be silent before anybody thinks of the old one."""
    _insist_note(step, "say in a few words why it is backed out.")
    if swap.stands in (*NEW_SPEAKS, State.WRITTEN) and swap.new_radio is not None:
        _prove_silence(swap, swap.new_radio, step, now)
        _off_air(swap.new_radio, swap, step, now, EndReason.PRECAUTION)


def _back_out(swap: Replacement, step: Step, now: datetime) -> None:
    if swap.old_radio is None:
        raise MoveRefused(
            "old_radio: none is on record; this mesh is stranded until devices are joined anew."
        )
    _insist_note(step, "say what was done and what was told to the people in the house.")
    if number_for_old(swap) is None and not step.without_number:
        raise MoveRefused(
            f"number: {swap.old_radio.code} was given none since it was silenced. Give it one of its own first, or say "
            "that it comes back as it stands and stays deaf."
        )
    _on_air(swap.old_radio, swap.new_radio, swap, now)
    swap.first_word_at = now
    _note_trial(swap, now, DrillResult.FAILED, step.by)


def _strand(swap: Replacement, step: Step, now: datetime) -> None:
    _insist_note(step, "say what happened and what was told to the people in the house.")
    _note_trial(swap, now, DrillResult.FAILED, step.by)


def _prove_silence(swap: Replacement, radio: Radio, step: Step, now: datetime) -> None:
    if step.silencing is None:
        raise MoveRefused(f"how: say how {radio.code} was silenced.")
    if step.photo is None and not step.second.strip():
        raise MoveRefused(f"photo: show {radio.code} unplugged, or have a second person confirm it.")
    if are_one(step.by, step.second):
        raise MoveRefused("second: the second person must be somebody other than the one who silenced it.")
    jpeg = made_small(step.photo) if step.photo is not None else None
    proof = SilenceProof.objects.create(
        replacement=swap,
        radio=radio,
        how=step.silencing,
        at=now,
        by=step.by[:120],
        second=step.second.strip()[:120],
        photo_sha256=digests.digest_of_bytes(jpeg).hex() if jpeg else "",
    )
    if jpeg:
        seal_photo(proof, jpeg, now)


def _off_air(radio: Radio, swap: Replacement, step: Step, now: datetime, why: EndReason) -> None:
    ServicePeriod.objects.filter(radio=radio, mesh=swap.mesh, until=None, since__lt=now).update(
        until=now, why_ended=why
    )
    radio.blank_proven_at, radio.blank_proven_by = None, ""
    _put(radio, RadioState.MISSING if step.silencing is Silencing.GONE else RadioState.SILENCED)


def _on_air(radio: Radio, other: Radio | None, swap: Replacement, now: datetime) -> None:
    """radio speaks from here on, and hangs where the other one hung."""
    mesh = swap.mesh
    speaking = ServicePeriod.objects.filter(mesh=mesh, until=None).select_related("radio").first()
    if speaking is not None and speaking.radio_id == radio.pk:
        return  # the book has it on air already
    if speaking is not None:
        raise MoveRefused(
            f"{speaking.radio.code} speaks for {mesh.code} as far as the book knows; record it silenced first. "
            "One identity, one voice."
        )
    if radio.state not in MAY_SPEAK:
        raise MoveRefused(
            f"{radio.code} is {radio.get_state_display().lower()}: only a prepared or a silenced radio goes on air."
        )
    if mesh.head_address is None or mesh.extended_pan_id is None:
        raise MoveRefused(
            f"{mesh.code} has no head address or extended PAN ID on record; send in a copy first."
        )
    if mesh.head_address != radio.factory_address:
        radio.carried_address = mesh.head_address
        radio.address_written = (
            radio.address_written or radio.model.address_policy == AddressPolicy.WRITE_ONCE
        )
    radio.blank_proven_at, radio.blank_proven_by = None, ""
    if other is not None:
        _change_places(radio, other)
    _put(radio, RadioState.ON_AIR)
    ServicePeriod.objects.create(
        radio=radio,
        mesh=mesh,
        head_address=mesh.head_address,
        extended_pan_id=mesh.extended_pan_id,
        since=now,
    )


def _change_places(radio: Radio, other: Radio) -> None:
    """The one that goes on air takes over spot, feed and breaker; the other lies bagged, nobody has said where."""
    if other.spot or other.feed or other.place_id:
        radio.spot, radio.feed, radio.breaker, radio.place = (
            other.spot,
            other.feed,
            other.breaker,
            other.place,
        )
    other.spot, other.feed, other.breaker = "", "", ""
    other.save(update_fields=["spot", "feed", "breaker"])


def _put(radio: Radio, state: RadioState) -> None:
    radio.state = state
    radio.save(
        update_fields=[
            "state",
            "carried_address",
            "address_written",
            "blank_proven_at",
            "blank_proven_by",
            "spot",
            "feed",
            "breaker",
            "place",
        ]
    )


def _note_trial(swap: Replacement, now: datetime, result: DrillResult, by: str) -> None:
    """A swap counts once for the record of its pair of builds, as a live drill does; not where nothing was written."""
    noted = Drill.objects.filter(mesh=swap.mesh, radio=swap.new_radio, kind=DrillKind.LIVE)
    if swap.number is None or noted.filter(done_at__gte=swap.asked_at, result=result).exists():
        return
    silenced = swap.silences.first()
    minutes = round((now - silenced.at).total_seconds() / 60) if silenced else None
    Drill.objects.create(
        mesh=swap.mesh,
        kind=DrillKind.LIVE,
        result=result,
        done_at=now,
        minutes=minutes,
        snapshot=swap.copy,
        radio=swap.new_radio,
        source_release=swap.old_radio.firmware if swap.old_radio else None,
        target_release=swap.new_radio.firmware if swap.new_radio else None,
        by=by[:120],
    )


Effect = Callable[[Replacement, Step, datetime], None]
ENTER: Mapping[State, Effect] = {
    State.AGREED: _agree,
    State.PACKED: _pack,
    State.ARRIVED: _arrive,
    State.DROPPED: _drop,
    State.SILENCED: _silence,
    State.WRITTEN: _insist_silent,
    State.WAKING: _wake,
    State.ACCEPTED: _accept,
    State.CLOSED: _close,
    State.BACKING_OUT: _begin_back_out,
    State.BACKED_OUT: _back_out,
    State.STRANDED: _strand,
}
