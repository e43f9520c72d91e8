"""Two copies of one mesh, opened and held side by side.

No key leaves this room: only structure, names and marks do, which is reading like any other and needs no journal line.
"""

from dataclasses import dataclass, replace

from fleet.keyring import KeyRingError
from fleet.models import Custody, Mesh, SealedBody, Snapshot
from fleet.queries.device_changes import Group, groups_of, names_in
from fleet.queries.layouts import facts_of
from fleet.queries.sealed import open_body
from fleet.snapshots.comparing import Difference, MeshChange, MeshFact, compare
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.history_checks import LEAST_JACCARD, MOST_VANISHED
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError


@dataclass(frozen=True, slots=True)
class Unopened:
    """A copy whose document cannot be looked into, and why in a sentence or two."""

    copy: Snapshot
    why: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """The older copy beside the newer.

    Where one does not open, difference is None and there is nothing but what the book noted of both.
    """

    old: Snapshot
    new: Snapshot
    unopened: tuple[Unopened, ...] = ()
    difference: Difference | None = None
    mesh: tuple[MeshChange, ...] = ()
    groups: tuple[Group, ...] = ()

    @property
    def is_doubtful(self) -> bool:
        """True where so many devices differ that the copies may not be of one mesh (C4)."""
        found = self.difference
        if found is None:
            return False
        gone, before = len(found.vanished), len(found.vanished) + found.in_common
        return found.jaccard < LEAST_JACCARD or gone > MOST_VANISHED * before


def comparison_of(mesh: Mesh, old: Snapshot, new: Snapshot) -> Comparison:
    """What changed from old to new. A copy that does not open is named, and nothing is raised."""
    before, after = _opened(old), _opened(new)
    if isinstance(before, Unopened) or isinstance(after, Unopened):
        return Comparison(old, new, tuple(each for each in (before, after) if isinstance(each, Unopened)))
    difference = compare(before, after)
    return Comparison(
        old,
        new,
        difference=difference,
        mesh=tuple(_with_marks(change, old, new) for change in difference.mesh),
        groups=tuple(groups_of(difference, names_in(mesh, before, after))),
    )


def _opened(copy: Snapshot) -> SnapshotFacts | Unopened:
    if copy.custody == Custody.GONE:
        return Unopened(copy, f"It was erased. {copy.gone_because or 'No reason was noted'}.")
    try:
        return facts_of(copy, open_body(copy.sealed_body))
    except SealedBody.DoesNotExist:
        return Unopened(copy, "Its sealed octets are not in the book.")
    except (SealError, PackError, KeyRingError) as error:
        return Unopened(copy, f"It does not open: {str(error).rstrip('.')}.")
    except ReadError:
        return Unopened(copy, f"It opens, but the layout “{copy.layout}” no longer reads it.")


def _with_marks(change: MeshChange, old: Snapshot, new: Snapshot) -> MeshChange:
    """A network key is told by its mark, eight digits of a keyed digest, and never shown."""
    if change.fact is MeshFact.NETWORK_KEY:
        return replace(change, before=f"mark {old.key_mark}", after=f"mark {new.key_mark}")
    return change
