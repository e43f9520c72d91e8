"""What the page of a mesh's frame counter asks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from fleet.mesh.counters import SPACE_END, Evidence, EvidenceKind
from fleet.models import CounterEvidence, Grade, Mesh, Snapshot
from fleet.planning.counter_course import Break, breaks
from fleet.queries.counters import CounterPicture, Lasting, counter_picture, lasting, lines_under

HELD_SHOWN = 50


@dataclass(frozen=True, slots=True)
class CounterPage:
    """The counter under the key in use. picture and lasts are None where the ledger has no line for it.

    The number to write holds to the end of the day at the home, as on a sheet that is issued today. held: copies
    under this key that wait to be settled, newest first; what they show does not count. older_lines: ledger lines
    under other keys or other addresses.
    """

    picture: CounterPicture | None
    lasts: Lasting | None
    breaks: tuple[Break, ...]
    held: Sequence[Snapshot]
    older_lines: int

    @property
    def held_lines(self) -> tuple[Evidence, ...]:
        """What the held copies show, as the chart takes it; a value that no counter can have is left out."""
        return tuple(
            Evidence(copy.outgoing_counter, copy.taken_at, EvidenceKind.SNAPSHOT, copy.received_at)
            for copy in self.held
            if copy.outgoing_counter < SPACE_END
        )


def page_of(mesh: Mesh, now: datetime) -> CounterPage:
    """Everything but the ledger's own lines: three statements."""
    until = end_of_day(now, ZoneInfo(mesh.site.time_zone))
    picture = counter_picture(mesh, until)
    held = mesh.snapshots.filter(grade=Grade.HELD, key_mark=mesh.key_mark, key_sequence=mesh.key_sequence)
    return CounterPage(
        picture=picture,
        lasts=lasting(picture, now) if picture else None,
        breaks=breaks(picture.evidence) if picture else (),
        held=list(held.order_by("-taken_at", "-id")[:HELD_SHOWN]),
        older_lines=mesh.counter_evidence.count() - (len(picture.evidence) if picture else 0),
    )


def ledger_lines(mesh: Mesh) -> QuerySet[CounterEvidence]:
    """The lines under the key in use, newest first, each with its copy."""
    lines = lines_under(mesh, mesh.key_mark, mesh.key_sequence)
    return lines.select_related("snapshot").order_by("-at", "-id")


def evidence_of(line: CounterEvidence) -> Evidence:
    """A row as decisions see it."""
    return Evidence(line.value, line.at, EvidenceKind(line.kind), line.landed_at)


def end_of_day(now: datetime, zone: ZoneInfo) -> datetime:
    """The midnight with which this day ends at the home."""
    return datetime.combine(now.astimezone(zone).date() + timedelta(days=1), datetime.min.time(), zone)
