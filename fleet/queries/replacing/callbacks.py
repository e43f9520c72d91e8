"""Which visits call back to which swap, from visits that were made and replacements that were accepted."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min, Prefetch

from fleet.models import (
    Drill,
    DrillKind,
    DrillResult,
    FirmwareRelease,
    PlanStop,
    Replacement,
    ReplacementMove,
    Visit,
    VisitState,
    VisitWork,
)
from fleet.planning.replacing.callbacks import WATCH, Accepted, Callback, Made, called_back
from fleet.planning.replacing.states import State

UNPLANNED = (VisitWork.OTHER, VisitWork.SWAP)
"""Drills, updates and surveys are due anyway; another swap of the same mesh is not."""


@dataclass(frozen=True, slots=True)
class CameBack:
    """A visit that calls back to a swap, with its row."""

    visit: Visit
    at: datetime
    names_mesh: bool


@dataclass(frozen=True, slots=True)
class SwapWatch:
    """What came after a swap was accepted: who had to come back, and until when visits count."""

    accepted_at: datetime
    until: datetime
    callbacks: tuple[CameBack, ...]


@dataclass(frozen=True, slots=True)
class PairCallbacks:
    """Swaps from one build to another that were accepted, and to how many of them somebody had to come back."""

    source: FirmwareRelease
    target: FirmwareRelease
    accepted: int
    called_back: int


def watch_of(swap: Replacement) -> SwapWatch | None:
    """One swap; None where it was never accepted. Five statements at most."""
    site = swap.mesh.site_id
    accepted = _accepted([site])[site]
    mine = next((each for each in accepted if each.key == swap.pk), None)
    if mine is None:
        return None
    rows = _visits([site], mine.at)[site]
    by_key = {row.pk: row for row in rows}
    callbacks = called_back(accepted, map(_made, rows)).get(swap.pk, ())
    return SwapWatch(
        accepted_at=mine.at,
        until=mine.at + WATCH,
        callbacks=tuple(CameBack(by_key[each.visit], each.at, each.names_mesh) for each in callbacks),
    )


def pair_callbacks(swap: Replacement) -> PairCallbacks | None:
    """All swaps of the book between the builds of this one; None where a build is not known.

    Builds are as they were when a swap was tried, for radios may have been updated since.
    """
    pair = _pair(swap)
    if pair is None:
        return None
    source, target = pair
    passed = Drill.objects.filter(kind=DrillKind.LIVE, result=DrillResult.PASSED)
    tried = passed.filter(source_release=source, target_release=target)
    tries = set(tried.values_list("mesh", "radio", "done_at"))
    moves = ReplacementMove.objects.filter(
        became=State.ACCEPTED, replacement__mesh__in={mesh for mesh, _, _ in tries}
    )
    told = moves.values_list(
        "replacement", "replacement__mesh__site", "replacement__mesh", "replacement__new_radio", "at"
    )
    sites = {swap: site for swap, site, *tried in told if tuple(tried) in tries}
    found = _by_home(set(sites.values()))
    return PairCallbacks(source, target, len(sites), len(sites.keys() & found.keys()))


def _pair(swap: Replacement) -> tuple[FirmwareRelease, FirmwareRelease] | None:
    tried = Drill.objects.filter(
        mesh=swap.mesh_id, radio=swap.new_radio_id, kind=DrillKind.LIVE, done_at__gte=swap.asked_at
    )
    noted = tried.select_related("source_release__model", "target_release__model").order_by("done_at").last()
    if noted is not None:
        source, target = noted.source_release, noted.target_release
    else:
        source = swap.old_radio.firmware if swap.old_radio else None
        target = swap.new_radio.firmware if swap.new_radio else None
    return (source, target) if source is not None and target is not None else None


def _by_home(sites: Iterable[int]) -> dict[int, tuple[Callback, ...]]:
    """Every swap of these homes that somebody had to come back to."""
    accepted = _accepted(sites)
    if not accepted:
        return {}
    first = min(each.at for swaps in accepted.values() for each in swaps)
    visits = _visits(accepted, first)
    return {
        key: callbacks
        for site, swaps in accepted.items()
        for key, callbacks in called_back(swaps, map(_made, visits[site])).items()
    }


def _accepted(sites: Iterable[int]) -> dict[int, list[Accepted]]:
    """By home, each swap by the first time that it was accepted."""
    moves = ReplacementMove.objects.filter(became=State.ACCEPTED, replacement__mesh__site__in=list(sites))
    rows = (
        moves.order_by()
        .values_list("replacement__mesh__site", "replacement", "replacement__mesh")
        .annotate(at=Min("at"))
    )
    found: dict[int, list[Accepted]] = defaultdict(list)
    for site, swap, mesh, at in rows:
        found[site].append(Accepted(swap, mesh, at))
    return found


def _visits(sites: Iterable[int], since: datetime) -> dict[int, list[Visit]]:
    in_force = PlanStop.objects.filter(in_force=True, lead=True)
    made = Visit.objects.filter(state=VisitState.DONE, site__in=list(sites), ended_at__gt=since)
    rows = made.select_related("site").prefetch_related(
        "tasks__replacement", Prefetch("stops", in_force, to_attr="held")
    )
    found: dict[int, list[Visit]] = defaultdict(list)
    for row in rows:
        found[row.site_id].append(row)
    return found


def _made(row: Visit) -> Made:
    """A visit may be noted days after it was made: then its hour in the plan in force says when that was."""
    assert row.ended_at is not None
    stops: list[PlanStop] = row.held  # type: ignore[attr-defined]
    tasks = [task for task in row.tasks.all() if task.kind in UNPLANNED]
    swaps = [task.replacement for task in tasks if task.replacement is not None]
    about = {task.mesh_id for task in tasks} | {swap.mesh_id for swap in swaps}
    return Made(
        key=row.pk,
        at=min([row.ended_at, *(stop.begin_at for stop in stops)]),
        swaps=frozenset(swap.pk for swap in swaps),
        about=frozenset(mesh for mesh in about if mesh is not None),
        no_mesh=any(task.mesh_id is None and task.replacement_id is None for task in tasks),
    )
