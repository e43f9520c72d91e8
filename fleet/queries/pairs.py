"""Which two copies of a mesh are held side by side."""

from uuid import UUID

from django.db.models import QuerySet

from fleet.models import JUDGED_GRADES, Custody, Mesh, Snapshot

MOST_OFFERED = 500

_NEAR = (
    "guide",
    "sealed_body__data_key",
    "sealed_body__base__data_key",
    "sealed_body__base__mesh",
    "sealed_body__base__root__data_key",
    "sealed_body__base__root__mesh",
)


class NoPair(Exception):
    """There are no two copies to compare; the sentence says which choice is wrong and what would be right."""


def offered(mesh: Mesh) -> QuerySet[Snapshot]:
    """The copies to choose from, newest capture first: those whose octets are still here."""
    return mesh.snapshots.exclude(custody=Custody.GONE).order_by("-taken_at", "-id")[:MOST_OFFERED]


def pair_of(mesh: Mesh, old: str = "", new: str = "") -> tuple[Snapshot, Snapshot]:
    """The copies of these uids with all that opening them takes, the earlier capture first.

    One of them empty: the sound copy next to the other. Both empty: the newest two sound ones. Raises NoPair.
    """
    erased_at = mesh.site.client.erased_at
    if erased_at is not None:
        raise NoPair(
            f"{mesh.code} was erased with its client on {erased_at:%Y-%m-%d}; no copy is left to compare."
        )
    first = _named(mesh, old, "old") if old else None
    second = _named(mesh, new, "new") if new else None
    if first is None:
        pair = (_before(mesh, second), second) if second else _newest_two(mesh)
    else:
        pair = (first, second or _after(mesh, first))
    if pair[0] == pair[1]:
        raise NoPair("old and new: one and the same copy; choose two.")
    older, newer = sorted(pair, key=lambda copy: (copy.taken_at, copy.pk))
    return older, newer


def _whole(mesh: Mesh) -> QuerySet[Snapshot]:
    return mesh.snapshots.select_related(*_NEAR)


def _sound(mesh: Mesh) -> QuerySet[Snapshot]:
    return _whole(mesh).filter(grade__in=JUDGED_GRADES).exclude(custody=Custody.GONE)


def _named(mesh: Mesh, uid: str, field: str) -> Snapshot:
    """The value is not said again: whoever pastes a key by mistake must not read it on a page or in a log."""
    try:
        copy = _whole(mesh).filter(uid=UUID(uid)).first()
    except ValueError:
        copy = None
    if copy is None:
        raise NoPair(f"{field}: what was asked for is no copy of {mesh.code}; choose one from the list.")
    return copy


def _newest_two(mesh: Mesh) -> tuple[Snapshot, Snapshot]:
    newest = list(_sound(mesh).order_by("-taken_at", "-id")[:2])
    if len(newest) < 2:
        held = "one sound copy" if newest else "no sound copy"
        raise NoPair(f"{mesh.code} has {held} so far; it takes two to compare.")
    return newest[1], newest[0]


def _before(mesh: Mesh, copy: Snapshot) -> Snapshot:
    found = _sound(mesh).filter(taken_at__lt=copy.taken_at).order_by("-taken_at", "-id").first()
    if found is None:
        raise NoPair("There is no sound copy before that one; choose two from the list.")
    return found


def _after(mesh: Mesh, copy: Snapshot) -> Snapshot:
    found = _sound(mesh).filter(taken_at__gt=copy.taken_at).order_by("taken_at", "id").first()
    if found is None:
        raise NoPair("There is no sound copy after that one; choose two from the list.")
    return found
