"""What an evidence pack does not show, worked out from what it does."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from reports.facts.evidence import Annex, Lack, MeshEvidence, NotShown, Paper

_DAY = timedelta(days=1)
Span = tuple[date, date]


def lacks(
    meshes: Sequence[MeshEvidence],
    papers: Sequence[Paper],
    annex: Annex,
    promised: Iterable[Span],
    served: dict[str, list[Span]],
    first: date,
    last: date,
) -> tuple[NotShown, ...]:
    """Everything that a reader might take for shown and is not.

    promised: days under an agreement; served: by mesh code, days on which a head radio was in service.
    """
    found = [each for mesh in meshes for each in _of_mesh(mesh, served.get(mesh.code, []), first, last)]
    if not meshes:
        found.append(NotShown(Lack.NO_MESH))
    if without := days_outside(promised, first, last):
        found.append(NotShown(Lack.NO_PROMISE, count=without))
    if unsigned := sum(not paper.signed for paper in papers):
        found.append(NotShown(Lack.UNSIGNED, count=unsigned))
    if not annex.count:
        found.append(NotShown(Lack.NO_JOURNAL))
    elif annex.chain is None:
        found.append(NotShown(Lack.NO_CHAIN))
    return tuple(found)


def _of_mesh(mesh: MeshEvidence, served: list[Span], first: date, last: date) -> Iterator[NotShown]:
    taken = any(month.proven + month.seen_live + month.sound for month in mesh.months)
    without = sum(month.days_without for month in mesh.months)
    if not taken:
        yield NotShown(Lack.NO_COPY, mesh.code)
    elif without:
        yield NotShown(Lack.GAPS, mesh.code, without)
    tried = [drill for drill in mesh.drills if drill.kind != "paper"]
    if not tried:
        yield NotShown(Lack.NO_DRILL, mesh.code)
    elif not any(drill.kind == "live" for drill in tried):
        yield NotShown(Lack.NO_LIVE_DRILL, mesh.code)
    if unjudged := sum(each.days for each in mesh.states if each.state is None):
        yield NotShown(Lack.NOT_JUDGED, mesh.code, unjudged)
    if unserved := days_outside(served, first, last):
        yield NotShown(Lack.NO_SERVICE, mesh.code, unserved)
    if mesh.service:
        yield NotShown(Lack.FIRMWARE, mesh.code)


def days_outside(spans: Iterable[Span], first: date, last: date) -> int:
    """How many days from first to last lie in none of the spans; all ends are included."""
    outside, reached = 0, first
    for start, end in sorted(spans):
        if start > last:
            break
        outside += max(0, (start - reached).days)
        reached = max(reached, end + _DAY)
    return outside + max(0, (last - reached).days + 1)
