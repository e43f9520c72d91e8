"""What the page asks on which a copy is given out ready to restore."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import (
    SEEN,
    SPACE_END,
    BackOut,
    Evidence,
    EvidenceKind,
    StartValue,
    back_out,
)
from fleet.models import Mesh, Node, Radio, Snapshot
from fleet.planning.compatibility import Verdict
from fleet.planning.readiness import SpareFacts, assess
from fleet.queries.counters import CounterPicture, Lasting, counter_picture, lasting
from fleet.queries.readiness import Judged, judged
from fleet.queries.restoring import GivenOut, GrantRefused, doubts_about, given_out, insist_on_copy, offer_of
from fleet.queries.spares import SpareShelf

GIVEN_SHOWN = 5
TRIED_FOR = timedelta(hours=2)
"""How long a new radio is on air before somebody decides that the old one must come back (trade C3)."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A radio that the document may be meant for. spare is None for the one in service."""

    radio: Radio
    spare: SpareFacts | None
    is_best: bool = False

    @property
    def warnings(self) -> tuple[str, ...]:
        """Why it should not be taken as it is; empty where nothing speaks against it."""
        if self.spare is None:
            return ()
        against = {
            "its firmware is barred": bool(self.spare.firmware_barred),
            "it is not proven blank": not self.spare.blank_proven,
            f"it does not fit ({self.spare.verdict_because.rstrip('.')})": self.spare.verdict is Verdict.NO,
        }
        return tuple(text for text, stands in against.items() if stands)


@dataclass(frozen=True, slots=True)
class WayBack:
    """What becomes of the radio in service once another has spoken. can_be_written: None where nobody knows."""

    radio: Radio
    can_be_written: bool | None
    out: BackOut


@dataclass(frozen=True, slots=True)
class RestorePage:
    """refusal is empty where the copy can be given out; the rest is shown as far as it is known."""

    copy: Snapshot | None
    refusal: str
    doubts: tuple[str, ...]
    picture: CounterPicture | None
    lasts: Lasting | None
    way_back: WayBack | None
    candidates: tuple[Candidate, ...]
    given: list[GivenOut]
    safety_devices: list[Node]

    @property
    def start(self) -> StartValue | None:
        """The number, also where it may not be written."""
        return self.picture.start if self.picture else None


def page_of(mesh: Mesh, asked_for: Snapshot | None, now: datetime) -> RestorePage:
    """asked_for: another copy than the newest restorable one."""
    case = judged(mesh, SpareShelf.load(), now)
    copy = asked_for or case.newest
    picture = _picture(mesh, copy, now)
    return RestorePage(
        copy=copy,
        refusal=_refusal(mesh, copy, now),
        doubts=doubts_about(copy) if copy else (),
        picture=picture,
        lasts=lasting(picture, now) if picture else None,
        way_back=way_back_of(case.radio, picture, now) if case.radio and picture else None,
        candidates=candidates(case),
        given=given_out(mesh, GIVEN_SHOWN),
        safety_devices=[node for node in case.nodes if node.safety_kind],
    )


def candidates(case: Judged) -> tuple[Candidate, ...]:
    """The best spare, other spares worth weighing, nearest first, the radio in service; last what one is warned of."""
    best = assess(case.facts).spare
    spares = sorted(case.facts.spares, key=lambda spare: spare.code != best)
    rows = {
        radio.code: radio
        for radio in Radio.objects.filter(code__in=[spare.code for spare in spares]).select_related(
            "model", "place"
        )
    }
    found = [Candidate(rows[spare.code], spare, spare.code == best) for spare in spares]
    found += [Candidate(case.radio, None)] if case.radio else []
    return tuple(sorted(found, key=lambda each: bool(each.warnings)))


def _picture(mesh: Mesh, copy: Snapshot | None, now: datetime) -> CounterPicture | None:
    if copy is None:
        return None
    return counter_picture(mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)


def _refusal(mesh: Mesh, copy: Snapshot | None, now: datetime) -> str:
    """Found by trying: the copy is opened and written, and what comes out is let go."""
    try:
        offer_of(mesh, insist_on_copy(mesh, copy), now)
    except GrantRefused as refusal:
        return str(refusal)
    return ""


def way_back_of(old: Radio, picture: CounterPicture, now: datetime) -> WayBack | None:
    """As of two hours after the number was written to another radio. The old one stands where it was last seen."""
    if picture.start.value >= SPACE_END:
        return None
    written = Evidence(picture.start.value, now, EvidenceKind.RESTORE, now)
    seen = [line for line in picture.evidence if line.kind in SEEN]
    writable = old.firmware.sets_counter if old.firmware else None
    out = back_out(
        deciding((*picture.evidence, written)),
        now + TRIED_FOR,
        rate_upper=picture.upper,
        rate_lower=picture.lower,
        old_counter=seen[-1].value if seen else None,
        can_be_written=bool(writable),
    )
    return WayBack(old, writable, out)
