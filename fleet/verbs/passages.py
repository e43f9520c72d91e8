"""Bringing a build out ring by ring: begin, note each update, stop, resume, pass a ring, draw more, give up."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.models import (
    OPEN_PASSAGES,
    FirmwareRelease,
    Passage,
    PassageRing,
    PassageState,
    PassageTurn,
    PassageUnit,
    Radio,
    Regression,
)
from fleet.planning.capabilities import FirmwareState
from fleet.planning.firmware_use import MAY_BE_TRIED
from fleet.planning.rings import (
    ORDER,
    SOAK_DAYS,
    SOAK_DAYS_MOST,
    RingError,
    RingKind,
    RingState,
    drawn,
    needed,
    suggested_few,
)
from fleet.queries.passages import candidates, is_gone, led_by, newest_copies, stand, whole, why_held
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal
from sites.models import Site


class PassageRefused(Exception):
    """Nothing was written; the sentence names the field, the value and what would be right."""


@dataclass(frozen=True, slots=True)
class Wish:
    """From which build to which, why, which homes are the firm's own, how many homes come before the rest."""

    source: FirmwareRelease
    target: FirmwareRelease
    because: str
    own: Collection[Site] = ()
    few: int | None = None
    soak_days: dict[RingKind, int] = field(default_factory=lambda: dict(SOAK_DAYS))


@transaction.atomic
def begin(wish: Wish, by: str, now: datetime) -> Passage:
    """Draw the rings and open the first. few None: as many homes as prove the build. Raises PassageRefused."""
    words = _words(wish.because)
    source, target = _builds(wish)
    found = candidates(source, wish.own)
    if not found:
        raise PassageRefused(f"source: no radio in use has {source}; there is nothing to update.")
    passage = Passage(
        model=source.model,
        source=source,
        target=target,
        because=words,
        need=needed(len(found)),
        begun_at=now,
        begun_by=by[:120],
    )
    try:
        few = suggested_few(found) if wish.few is None else wish.few
        rings = drawn(found, few, str(passage.uid))
    except RingError as error:
        raise PassageRefused(str(error)) from None
    passage.save(force_insert=True)
    radios = dict(Radio.objects.filter(firmware=source).values_list("code", "pk"))
    for number, kind in enumerate((kind for kind in ORDER if kind in rings), start=1):
        ring = PassageRing.objects.create(
            passage=passage,
            kind=kind.value,
            number=number,
            soak_days=_soak(kind, wish),
            opened_at=now if number == 1 else None,
        )
        PassageUnit.objects.bulk_create(
            PassageUnit(ring=ring, radio_id=radios[code], number=turn)
            for turn, code in enumerate(rings[kind], start=1)
        )
    _turn(passage, "begun", words, by, now, units=len(found), need=passage.need)
    return passage


def _builds(wish: Wish) -> tuple[FirmwareRelease, FirmwareRelease]:
    """Both builds, held; refused where one may not be brought out, or another passage is open."""
    rows = FirmwareRelease.objects.select_for_update().filter(pk__in=(wish.source.pk, wish.target.pk))
    list(rows.order_by("pk").values_list("pk"))
    source = FirmwareRelease.objects.select_related("model").get(pk=wish.source.pk)
    target = FirmwareRelease.objects.select_related("model").get(pk=wish.target.pk)
    if source.model_id != target.model_id:
        raise PassageRefused(f"target: {target} is not for {source.model}; choose a build of that model.")
    if source.pk == target.pk:
        raise PassageRefused(f"target: {target} is the build to be left; choose another.")
    _insist_may_be_tried(target)
    type(source.model).objects.select_for_update().get(pk=source.model_id)
    under_way = Passage.objects.filter(model=source.model, state__in=OPEN_PASSAGES).first()
    if under_way is not None:
        raise PassageRefused(f"source: another passage of {source.model} is open; end that one first.")
    return source, target


def _insist_may_be_tried(target: FirmwareRelease) -> None:
    if FirmwareState(target.policy) not in MAY_BE_TRIED:
        stands = target.get_policy_display().lower()
        raise PassageRefused(
            f"target: {target} is {stands}; only a build on trial, allowed or preferred is brought out."
        )


def _soak(kind: RingKind, wish: Wish) -> int:
    days = wish.soak_days.get(kind, SOAK_DAYS[kind])
    if not 1 <= days <= SOAK_DAYS_MOST:
        raise PassageRefused(f"soak days {kind.words}: {days}; right is 1 to {SOAK_DAYS_MOST}.")
    return days


@transaction.atomic
def note_update(unit: PassageUnit, by: str, now: datetime) -> PassageUnit:
    """The radio of an open ring has the new build on it. Raises PassageRefused.

    Refused without a sound copy of the day before at most. A spare must be proven blank again.
    """
    passage, unit = _unit_in(unit)
    if passage.state != PassageState.UNDER_WAY:
        raise PassageRefused(f"passage: it is {passage.get_state_display().lower()}; nothing is updated.")
    _insist_may_be_tried(passage.target)
    if unit.done_at is not None:
        raise PassageRefused(f"radio: {unit.radio.code} was updated on {unit.done_at:%Y-%m-%d} already.")
    if is_gone(unit, passage.source):
        raise PassageRefused(
            f"radio: {unit.radio.code} is out of use or has another build by now; it needs no update."
        )
    if unit.ring.opened_at is None or unit.ring.passed_at is not None:
        raise PassageRefused(f"radio: {unit.radio.code} is in a ring that is not open; wait for its turn.")
    _update(unit, passage, by, now)
    details = {"from": passage.source.version, "to": passage.target.version}
    where = unit.mesh.code if unit.mesh else ""
    journal.record(by, "firmware updated", unit.radio.code, now, mesh=where, **details)
    return unit


def _update(unit: PassageUnit, passage: Passage, by: str, now: datetime) -> None:
    mesh = led_by([unit.radio_id]).get(unit.radio_id)
    if mesh is not None:
        copy = newest_copies([mesh.pk]).get(mesh.pk)
        held = why_held(copy, now)
        if held:
            raise PassageRefused(f"copy: {mesh.code}: {held}")
        unit.mesh, unit.copy = mesh, copy
    radio = Radio.objects.select_for_update().get(pk=unit.radio_id)
    radio.firmware = passage.target
    if mesh is None:
        radio.blank_proven_at, radio.blank_proven_by = None, ""
    radio.save(update_fields=["firmware", "blank_proven_at", "blank_proven_by"])
    unit.done_at, unit.done_by = now, by[:120]
    unit.save(update_fields=["mesh", "copy", "done_at", "done_by"])


@transaction.atomic
def note_regression(unit: PassageUnit, kind: Regression, what: str, by: str, now: datetime) -> PassageUnit:
    """Something went worse after an update: the passage stops at once. Raises PassageRefused."""
    words = _words(what, "what")
    passage, unit = _unit_in(unit)
    if unit.done_at is None:
        raise PassageRefused(f"radio: {unit.radio.code} was not updated yet; note that first.")
    if unit.regression:
        raise PassageRefused(f"radio: {unit.radio.code} has a regression on record already.")
    unit.regression, unit.regressed_at, unit.what = kind, now, words
    unit.save(update_fields=["regression", "regressed_at", "what"])
    journal.record(by, "regression noted", unit.radio.code, now, kind=kind.value, build=str(passage.target))
    if passage.state == PassageState.UNDER_WAY:
        passage.state = PassageState.STOPPED
        passage.save(update_fields=["state"])
        # What went worse in a home stays with the unit: it goes with the client.
        _turn(passage, "stopped", f"{unit.radio.code}: {kind.label.lower()}", by, now)
    return unit


@transaction.atomic
def stop(passage: Passage, because: str, by: str, now: datetime) -> Passage:
    """Nothing of it is updated any more until somebody resumes it. Raises PassageRefused."""
    words = _words(because)
    passage = _locked(passage)
    _insist(passage, PassageState.UNDER_WAY)
    passage.state = PassageState.STOPPED
    passage.save(update_fields=["state"])
    _turn(passage, "stopped", words, by, now)
    return passage


@transaction.atomic
def resume(passage: Passage, because: str, by: str, now: datetime) -> Passage:
    """Somebody found that the build was not to blame, and says why. Soak days count anew. Raises PassageRefused."""
    words = _words(because)
    passage = _locked(passage)
    _insist(passage, PassageState.STOPPED)
    _insist_may_be_tried(passage.target)
    passage.state, passage.resumed_at = PassageState.UNDER_WAY, now
    passage.save(update_fields=["state", "resumed_at"])
    _turn(passage, "resumed", words, by, now)
    return passage


@transaction.atomic
def pass_ring(passage: Passage, word: str, by: str, now: datetime) -> Passage:
    """The open ring has passed, and the next one opens; after the last the passage is done. Raises PassageRefused.

    word: why it goes on though too few units prove it; needed there, and of no use elsewhere.
    """
    passage = _locked(passage)
    _insist(passage, PassageState.UNDER_WAY)
    current = stand(passage, now).current
    if current is None:
        raise PassageRefused("ring: all have passed already.")
    if not current.may_pass:
        raise PassageRefused(f"ring {current.kind.words}: {current.because}")
    proven = current.state is RingState.PROVEN
    if not proven and not word.strip():
        raise PassageRefused(f"word: {current.because} Say in a few words why.")
    words = "" if proven else _words(word, "word")
    rows = list(passage.rings.all())
    at = next(place for place, ring in enumerate(rings_of(rows)) if ring is current.kind)
    rows[at].passed_at, rows[at].passed_by, rows[at].word = now, by[:120], words
    rows[at].save(update_fields=["passed_at", "passed_by", "word"])
    _turn(passage, "passed", f"Ring {current.kind.words}. {words}".strip(), by, now, proven=proven)
    if at + 1 < len(rows):
        rows[at + 1].opened_at = now
        rows[at + 1].save(update_fields=["opened_at"])
    else:
        passage.state = PassageState.DONE
        passage.save(update_fields=["state"])
        _turn(passage, "done", "", by, now)
    return passage


def rings_of(rows: list[PassageRing]) -> list[RingKind]:
    """Their kinds, in their order."""
    return [RingKind(row.kind) for row in rows]


@transaction.atomic
def draw_more(passage: Passage, homes: int, by: str, now: datetime) -> Passage:
    """The first homes of the rest come into the open ring before it. Raises PassageRefused."""
    passage = _locked(passage)
    _insist(passage, PassageState.UNDER_WAY)
    rows = list(passage.rings.all())
    at = next((place for place, row in enumerate(rows) if row.passed_at is None), None)
    if at is None or at + 1 >= len(rows) or RingKind(rows[at + 1].kind) is not RingKind.REST:
        raise PassageRefused("homes: the open ring is not the one before the rest; nothing can be drawn.")
    waiting = [unit for unit in rows[at + 1].units.all() if not is_gone(unit, passage.source)]
    if not 1 <= homes < len(waiting):
        raise PassageRefused(f"homes: {homes}; right is 1 to {len(waiting) - 1}, as one must be left.")
    last = max((unit.number for unit in rows[at].units.all()), default=0)
    for number, unit in enumerate(waiting[:homes], start=last + 1):
        unit.ring, unit.number = rows[at], number
        unit.save(update_fields=["ring", "number"])
    told = "1 radio more" if homes == 1 else f"{homes} radios more"
    _turn(passage, "widened", told, by, now)
    return passage


@transaction.atomic
def give_up(passage: Passage, because: str, by: str, now: datetime) -> Passage:
    """It ends here; what was updated stays as it is. Raises PassageRefused."""
    words = _words(because)
    passage = _locked(passage)
    _insist(passage, *OPEN_PASSAGES)
    passage.state = PassageState.GIVEN_UP
    passage.save(update_fields=["state"])
    _turn(passage, "given_up", words, by, now)
    return passage


def _turn(passage: Passage, what: str, because: str, by: str, now: datetime, **details: object) -> None:
    PassageTurn.objects.create(passage=passage, what=what, at=now, by=by[:120], because=because[:200])
    said = f"passage {PassageTurn.What(what).label.lower()}"
    builds = {"from": passage.source.version, "to": passage.target.version}
    journal.record(by, said, passage.model.code, now, because=because[:200], **builds, **details)


def _insist(passage: Passage, *states: PassageState) -> None:
    if passage.state not in states:
        right = " or ".join(state.label.lower() for state in states)
        raise PassageRefused(f"passage: it is {passage.get_state_display().lower()}; right is {right}.")


def _unit_in(unit: PassageUnit) -> tuple[Passage, PassageUnit]:
    """The passage, held, and the unit as it is now."""
    ring = PassageRing.objects.get(pk=PassageUnit.objects.values_list("ring", flat=True).get(pk=unit.pk))
    passage = _locked(ring.passage)
    row = PassageUnit.objects.select_related("radio", "ring", "mesh").get(pk=unit.pk)
    return passage, row


def _locked(passage: Passage) -> Passage:
    """The row, held until the transaction ends; locked before it is joined (see verbs.stock)."""
    Passage.objects.select_for_update().get(pk=passage.pk)
    return whole(Passage.objects.filter(pk=passage.pk)).get()


def _words(because: str, name: str = "because") -> str:
    """It goes into the journal."""
    words = because.strip()
    if not words:
        raise PassageRefused(f"{name}: nothing was written; say it in a few words.")
    if looks_secret(words):
        raise PassageRefused(f"{name}: this looks like a code or a key; write words only.")
    if len(words) > 200:
        raise PassageRefused(f"{name}: {len(words)} letters; right is 200 at most.")
    return words
