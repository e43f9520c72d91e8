"""A mesh's copies as the keep rules see them: rows turned into facts, with every pin that rows set."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, pairwise
from operator import attrgetter
from typing import NamedTuple, Protocol
from zoneinfo import ZoneInfo

from django.db.models import F, Min, QuerySet

from fleet.models import JUDGED_GRADES, Custody, Grade, Mesh, Node, Pin, PinKind, ServicePeriod, Snapshot
from fleet.planning.keeping import Copy
from fleet.planning.pinning import Swap, reached_everyone, swap_pins

LEGAL = "legal hold"
BY_HAND = "kept by hand"
LIVE_GRADES = frozenset({Grade.SEEN_LIVE, Grade.PROVEN})
MESHES_A_CHUNK = 500
COLUMNS = ("id", "mesh_id", "taken_at", "grade", "key_mark", "key_sequence", "doomed_at")


class CopyRow(Protocol):
    """What is read of a copy: a whole row of the model, or these columns alone."""

    id: int
    taken_at: datetime
    grade: str
    key_mark: str
    key_sequence: int
    doomed_at: datetime | None


@dataclass(frozen=True, slots=True)
class History:
    """One mesh's copies that are still here, newest first, and when those that are marked were marked."""

    mesh: Mesh
    copies: list[Copy[int]]
    marked_at: dict[int, datetime]

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.mesh.site.time_zone)


class _Pinned(NamedTuple):
    """What rows of people and radios say about the copies of one mesh."""

    on_all: tuple[str, ...]
    on_copy: Mapping[int, tuple[str, ...]]
    swaps: Sequence[Swap]
    old_keys_over: bool


def kept_copies(meshes: Iterable[Mesh]) -> QuerySet[Snapshot]:
    """The copies of these meshes that are still here, mesh by mesh, newest first."""
    mine = Snapshot.objects.filter(mesh__in=meshes)
    return mine.exclude(custody=Custody.GONE).order_by("mesh", "-taken_at", "-id")


def history_of(mesh: Mesh, rows: Sequence[Snapshot]) -> History:
    """The history of one mesh from its rows, newest first. Two statements, four where it has copies of two keys."""
    return next(_histories([mesh], {mesh.pk: rows}))


def histories(meshes: Sequence[Mesh]) -> Iterator[History]:
    """The histories of these meshes, which must have come with home and client. Three to five statements."""
    rows = kept_copies(meshes).values_list(*COLUMNS, named=True)
    by_mesh = {key: list(group) for key, group in groupby(rows, key=attrgetter("mesh_id"))}
    return _histories(meshes, by_mesh)


def in_chunks(meshes: QuerySet[Mesh], step: Callable[[int, int], None] | None = None) -> Iterator[list[Mesh]]:
    """Meshes a few hundred at a time, with what a history needs of them, so that memory stays flat."""
    total = meshes.count() if step else 0
    needed = ("code", "keep_rule", "key_mark", "key_sequence", "site__code", "site__time_zone")
    light = meshes.select_related("site__client").only(*needed, "site__client__held_since").order_by("pk")
    done, after = 0, 0
    while chunk := list(light.filter(pk__gt=after)[:MESHES_A_CHUNK]):
        yield chunk
        after = chunk[-1].pk
        done += len(chunk)
        if step:
            step(done, total)


def _histories(meshes: Sequence[Mesh], rows: Mapping[int, Sequence[CopyRow]]) -> Iterator[History]:
    pinned = _pinned(meshes, rows)
    for mesh in meshes:
        mine = rows.get(mesh.pk, ())
        marked = {row.id: row.doomed_at for row in mine if row.doomed_at is not None}
        yield History(mesh, _copies(mesh, mine, pinned[mesh.pk]), marked)


def _copies(mesh: Mesh, rows: Sequence[CopyRow], pinned: _Pinned) -> list[Copy[int]]:
    current = _epoch(mesh) if pinned.old_keys_over else None
    copies = [_copy(row, current, (*pinned.on_copy.get(row.id, ()), *pinned.on_all)) for row in rows]
    if not pinned.swaps:
        return copies
    around = swap_pins(copies, pinned.swaps)
    return [
        copy._replace(holds=(*around[copy.key], *copy.holds)) if copy.key in around else copy
        for copy in copies
    ]


def _copy(row: CopyRow, current: str | None, holds: tuple[str, ...]) -> Copy[int]:
    """current: the key epoch that alone still counts; None where all do."""
    sound = row.grade in JUDGED_GRADES
    epoch = _epoch(row) if sound else None
    return Copy(
        key=row.id,
        taken_at=row.taken_at,
        sound=sound,
        seen_live=row.grade in LIVE_GRADES,
        proven=row.grade == Grade.PROVEN,
        key_epoch=None if current is not None and epoch != current else epoch,
        holds=holds,
    )


def _epoch(row: Mesh | CopyRow) -> str:
    return f"{row.key_sequence} ({row.key_mark})"


def _pinned(meshes: Sequence[Mesh], rows: Mapping[int, Sequence[CopyRow]]) -> dict[int, _Pinned]:
    keys = [mesh.pk for mesh in meshes]
    on_mesh, on_copy = _by_people(keys)
    swaps = _swaps(meshes)
    over = _old_keys_over([key for key in keys if len({_epoch(row) for row in rows.get(key, ())}) > 1])
    return {
        mesh.pk: _Pinned(
            (f"{LEGAL} on the client",) * (mesh.site.client.held_since is not None) + on_mesh[mesh.pk],
            on_copy,
            swaps[mesh.pk],
            mesh.pk in over,
        )
        for mesh in meshes
    }


def _by_people(meshes: Sequence[int]) -> tuple[dict[int, tuple[str, ...]], dict[int, tuple[str, ...]]]:
    """Standing pins, by mesh and by copy."""
    on_mesh: dict[int, tuple[str, ...]] = defaultdict(tuple)
    on_copy: dict[int, tuple[str, ...]] = defaultdict(tuple)
    standing = Pin.objects.filter(mesh__in=meshes, ended_at=None).order_by("kind")
    for mesh, copy, kind in standing.values_list("mesh", "snapshot", "kind"):
        if copy is None:
            on_mesh[mesh] += (f"{LEGAL} on the mesh",)
        else:
            on_copy[copy] += (LEGAL if kind == PinKind.LEGAL else BY_HAND,)
    return on_mesh, on_copy


def _swaps(meshes: Sequence[Mesh]) -> dict[int, list[Swap]]:
    """Every change of the radio that leads a mesh; its first radio is no swap."""
    zones = {mesh.pk: ZoneInfo(mesh.site.time_zone) for mesh in meshes}
    swaps: dict[int, list[Swap]] = defaultdict(list)
    periods = ServicePeriod.objects.filter(mesh__in=zones).select_related("radio").order_by("mesh", "since")
    for old, new in pairwise(periods):
        if old.mesh_id == new.mesh_id and old.radio_id != new.radio_id:
            day = new.since.astimezone(zones[new.mesh_id]).date().isoformat()
            name = f"swap to {new.radio.code} on {day}"
            swaps[new.mesh_id].append(Swap(name, old.until or new.since, new.since))
    return swaps


def _old_keys_over(meshes: Sequence[int]) -> set[int]:
    """Those of these meshes whose key in use has reached every device, so that older keys open nothing any more."""
    if not meshes:
        return set()
    of_key_in_use = Snapshot.objects.filter(
        mesh__in=meshes,
        grade__in=JUDGED_GRADES,
        key_mark=F("mesh__key_mark"),
        key_sequence=F("mesh__key_sequence"),
    )
    since = dict(of_key_in_use.order_by().values_list("mesh").annotate(first=Min("taken_at")))
    left: dict[int, list[datetime]] = defaultdict(list)
    gone = Node.objects.filter(mesh__in=meshes).exclude(gone_since=None)
    for mesh, at in gone.values_list("mesh", "gone_since"):
        left[mesh].append(at)
    rolls = Mesh.objects.filter(pk__in=since).values_list("pk", "roll")
    return {key for key, roll in rolls if reached_everyone(since[key], _heard(roll), left[key])}


def _heard(roll: Mapping[str, str | None]) -> list[datetime | None]:
    return [datetime.fromisoformat(text) if text else None for text in roll.values()]
