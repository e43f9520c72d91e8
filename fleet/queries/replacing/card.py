"""What the card of one replacement shows, and which replacements a person may see."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from fleet.models import (
    Node,
    Radio,
    Replacement,
    ReplacementMove,
    SilenceProof,
    Silencing,
    WatchMark,
    Why,
)
from fleet.planning.compatibility import Compatibility
from fleet.planning.replacing.preflight import Finding, Met, preflight
from fleet.planning.replacing.settling import Answer, Settling, Watched, settle
from fleet.planning.replacing.states import FORWARD, LEGAL, NOBODY_SPEAKS, WATCHED, State
from fleet.queries.counters import CounterPicture
from fleet.queries.mesh import meshes_for
from fleet.queries.replacing.callbacks import PairCallbacks, SwapWatch, pair_callbacks, watch_of
from fleet.queries.replacing.numbers import number_for_old
from fleet.queries.replacing.preflight import preflight_facts, rows_of
from fleet.queries.replacing.settling import roll_of, watched
from fleet.queries.restore_page import WayBack, way_back_of
from fleet.queries.restoring import doubts_about
from fleet.queries.spares import STANDING_BY
from sites import access
from sites.models import Person

NEAR = (
    "mesh__site__client",
    "old_radio__model",
    "old_radio__firmware",
    "new_radio__model",
    "new_radio__firmware",
    "new_radio__place",
    "technician",
    "second",
)
BEFORE_SILENCE = (State.ASKED, State.AGREED, State.PACKED, State.ARRIVED)


@dataclass(frozen=True, slots=True)
class Stage:
    """One state on the way forward: made when and by whom, or still to come."""

    state: State
    made: ReplacementMove | None
    is_now: bool


@dataclass(frozen=True, slots=True)
class Ticked:
    """One device after the swap, with its row and what its silence means."""

    node: Node
    watched: Watched
    answer: Answer
    mark: WatchMark | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """Everything on a swap card. findings are the twelve items, empty once the old radio is silent.

    watch: who had to come back, None before it is accepted; pair: the same for all swaps between its two builds.
    """

    swap: Replacement
    stages: tuple[Stage, ...]
    moves: tuple[ReplacementMove, ...]
    next_moves: tuple[State, ...]
    findings: tuple[Finding, ...]
    fit: Compatibility | None
    picture: CounterPicture | None
    way_back: WayBack | None
    doubts: tuple[str, ...]
    silences: tuple[SilenceProof, ...]
    settling: Settling | None
    devices: tuple[Ticked, ...]
    number_for_old: int | None
    speaking: Radio | None
    safety_devices: tuple[Node, ...]
    watch: SwapWatch | None
    pair: PairCallbacks | None

    @property
    def open_items(self) -> int:
        """How many of the twelve hold the swap."""
        return sum(finding.met is not Met.YES for finding in self.findings)

    @property
    def old_is_out_of_reach(self) -> bool:
        """It was lost, stolen or burnt out: there is no going back to it."""
        gone = any(proof.how in (Silencing.GONE, Silencing.DEAD) for proof in self.silences)
        return self.swap.why == Why.THEFT or gone

    @property
    def silent_since(self) -> datetime | None:
        """Since when nobody speaks in the home, while nobody does as far as the book knows."""
        if self.speaking is not None or self.swap.stands not in NOBODY_SPEAKS:
            return None
        return self.silences[-1].at if self.silences else self.swap.moved_at

    def count(self, answer: Answer) -> int:
        """Devices with this answer."""
        return sum(each.answer is answer for each in self.devices)


def replacements_for(person: Person, today: date) -> QuerySet[Replacement]:
    """Those of the meshes that are open to this person."""
    return Replacement.objects.filter(mesh__in=meshes_for(person, today)).select_related(*NEAR)


def replacement_for(person: Person, uid: UUID, today: date) -> Replacement:
    """One replacement, or Http404."""
    return get_object_or_404(replacements_for(person, today), uid=uid)


def replacement_to_change(person: Person, uid: UUID, today: date) -> Replacement:
    """One that this person may move; Http404 where it is not open, PermissionDenied where only to read."""
    swap = replacement_for(person, uid, today)
    access.require_change(person, today)
    access.require_not_erased(swap.mesh.site.client)
    return swap


def card_of(swap: Replacement, now: datetime) -> Card:
    """The card as of now."""
    rows = rows_of(swap, now)
    picture = rows.picture
    moves = tuple(swap.moves.all())
    settling = _settling(swap, now)
    roll = list(roll_of(swap)) if settling else []
    numbered = number_for_old(swap)
    speaking = swap.mesh.periods.filter(until=None).select_related("radio").first()
    return Card(
        swap=swap,
        stages=_stages(swap, moves),
        moves=moves,
        next_moves=_next_moves(swap, numbered),
        findings=preflight(preflight_facts(rows, now)) if swap.stands in BEFORE_SILENCE else (),
        fit=rows.fit,
        picture=picture,
        way_back=way_back_of(swap.old_radio, picture, now) if swap.old_radio and picture else None,
        doubts=doubts_about(rows.copy) if rows.copy else (),
        silences=tuple(swap.silences.select_related("radio", "photo")),
        settling=settling,
        devices=_ticked(roll, settling, {mark.node_id: mark for mark in swap.marks.all()}),
        number_for_old=numbered,
        speaking=speaking.radio if speaking else None,
        safety_devices=tuple(rows.guards),
        watch=watch_of(swap),
        pair=pair_callbacks(swap),
    )


def spares_to_choose(swap: Replacement) -> QuerySet[Radio]:
    """Radios that may be named for it: those that stand by and are meant for no other, its own included."""
    others = Replacement.objects.under_way().exclude(pk=swap.pk)
    taken = others.exclude(new_radio=None).values("new_radio")
    free = Q(state__in=STANDING_BY) & ~Q(pk__in=taken)
    return Radio.objects.filter(free).select_related("model", "firmware", "place").order_by("code")


def _stages(swap: Replacement, moves: tuple[ReplacementMove, ...]) -> tuple[Stage, ...]:
    made = {move.became: move for move in moves}
    return tuple(Stage(state, made.get(state.value), swap.stands is state) for state in FORWARD)


def _next_moves(swap: Replacement, numbered: int | None) -> tuple[State, ...]:
    """Writing is no move that somebody makes by a button. With a number of its own the old radio comes back first."""
    moves = tuple(to for to in LEGAL[swap.stands] if to is not State.WRITTEN)
    if swap.stands is State.STRANDED and numbered is not None:
        return moves[::-1]
    return moves


def _settling(swap: Replacement, now: datetime) -> Settling | None:
    if swap.stands not in WATCHED or swap.first_word_at is None:
        return None
    return settle(watched(swap), swap.first_word_at, now)


def _ticked(nodes: list[Node], settling: Settling | None, marks: dict[int, WatchMark]) -> tuple[Ticked, ...]:
    """The late first, then those that guard and were not tried, then the rest room by room."""
    if settling is None:
        return ()
    rows = {node.extended_address: node for node in nodes}
    found = [
        Ticked(rows[device.address], device, answer, marks.get(rows[device.address].pk))
        for device, answer in settling.answers
    ]
    order = {Answer.LATE: 0, Answer.NOT_YET_DUE: 2, Answer.HEARD: 3}
    return tuple(
        sorted(
            found,
            key=lambda each: (
                1
                if each.watched.guards and not each.watched.tried_by_hand and each.answer is not Answer.LATE
                else order[each.answer]
            ),
        )
    )
