"""Rows to the facts of an evidence pack, and the journal of a home as a file."""

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from fleet.mesh.codes import with_check
from fleet.models import JournalEntry
from fleet.planning.canonical import lines
from reports.facts import evidence as facts
from reports.facts.evidence_lacks import lacks
from reports.facts.head import Issue
from reports.models import Sheet
from reports.queries import home
from reports.queries.evidence_mesh import Period, Rows, mesh_evidence
from sites.models import Agreement, Site


class Line(NamedTuple):
    """One line of the journal, with its place in the journal's chain, if it has one. Its details stay in the book."""

    number: int
    at: datetime
    who: str
    what: str
    subject: str
    place: int | None
    digest: str


def evidence_facts(site: Site, first: date, last: date, issue: Issue) -> facts.EvidenceFacts:
    """Everything about one home for these days of its calendar. A fixed number of statements."""
    period = Period(first, last, ZoneInfo(site.time_zone))
    start, end = _bounds(period)
    promises = list(_promises(site, period))
    rows = Rows.load(site, period, start, end)
    meshes = tuple(mesh_evidence(mesh, rows, period, promises) for mesh in rows.meshes)
    papers = tuple(_paper(sheet, period) for sheet in _sheets(site, start, end))
    told = journal_lines(site, first, last)
    entries = tuple(_entries(told, period))
    annex = facts.Annex(len(told), sha256(exported(told)).hexdigest(), entries, _chain_end(told))
    return facts.EvidenceFacts(
        issue=issue,
        firm=home.firm_facts(),
        home=home.home_facts(site),
        first=first,
        last=last,
        annex=annex,
        promises=tuple(_promise(each) for each in promises),
        meshes=meshes,
        papers=papers,
        carers=_carers(told, period),
        not_shown=lacks(
            meshes,
            papers,
            annex,
            [(each.starts_on, each.ends_on or last) for each in promises],
            rows.served(period),
            first,
            last,
        ),
    )


def journal_lines(site: Site, first: date, last: date) -> list[Line]:
    """The lines about a home and its meshes on these days, oldest first. Two statements."""
    start, end = _bounds(Period(first, last, ZoneInfo(site.time_zone)))
    subjects = [site.code, *site.meshes.values_list("code", flat=True)]
    found = JournalEntry.objects.filter(subject__in=subjects, at__gte=start, at__lt=end)
    columns = ("pk", "at", "who", "what", "subject", "place", "digest")
    return [Line(*row) for row in found.order_by("at", "pk").values_list(*columns)]


def _chain_end(told: Sequence[Line]) -> facts.ChainEnd | None:
    """The line that the chain holds last: its digest stands for all of these."""
    placed = [(line.place, line.digest) for line in told if line.place is not None]
    return facts.ChainEnd(*max(placed)) if placed and len(placed) == len(told) else None


def exported(told: Sequence[Line]) -> bytes:
    """The lines as a file: a canonical JSON object (RFC 8785) on each, whose SHA-256 the annex states."""
    return lines({**line._asdict(), "at": _utc(line.at)} for line in told)


def _utc(moment: datetime) -> str:
    """As RFC 3339 writes it, in UTC."""
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _bounds(period: Period) -> tuple[datetime, datetime]:
    start = datetime.combine(period.first, time(), period.zone)
    return start, datetime.combine(period.last + timedelta(days=1), time(), period.zone)


def _promises(site: Site, period: Period) -> QuerySet[Agreement]:
    here = Q(ends_on=None) | Q(ends_on__gte=period.first)
    return site.agreements.filter(here, starts_on__lte=period.last).order_by("starts_on", "pk")


def _promise(row: Agreement) -> facts.Promise:
    return facts.Promise(
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        notice_days=row.notice_days,
        point_hours=row.recovery_point_hours,
        time_minutes=row.recovery_time_minutes,
        drill_every_days=row.drill_interval_days,
        hours_covered=row.hours_covered or None,
    )


def _sheets(site: Site, start: datetime, end: datetime) -> QuerySet[Sheet]:
    issued = site.sheets.filter(issued_at__gte=start, issued_at__lt=end)
    return issued.select_related("mesh").prefetch_related("signatures").order_by("issued_at", "pk")


def _paper(sheet: Sheet, period: Period) -> facts.Paper:
    return facts.Paper(
        number=sheet.number,
        kind=sheet.kind,
        revision=sheet.revision,
        issued_at=sheet.issued_at.astimezone(period.zone),
        sha256=sheet.sha256,
        mesh_code=with_check(sheet.mesh.code) if sheet.mesh else None,
        signed=tuple(
            facts.Signed(each.name, each.role, each.signed_at.astimezone(period.zone))
            for each in sheet.signatures.all()
        ),
    )


def _carers(told: Sequence[Line], period: Period) -> tuple[facts.Carer, ...]:
    """Whoever wrote, by how much, most first."""
    days: dict[str, list[date]] = {}
    for line in told:
        days.setdefault(line.who, []).append(period.day(line.at))
    ordered = sorted(days, key=lambda who: (-len(days[who]), who))
    return tuple(facts.Carer(who, len(days[who]), days[who][0], days[who][-1]) for who in ordered)


def _entries(told: Sequence[Line], period: Period) -> Iterator[facts.Entry]:
    """The lines as printed: those of one day that say the same, one after the other, are one with a count."""
    last: facts.Entry | None = None
    for line in told:
        at = line.at.astimezone(period.zone).replace(microsecond=0)
        entry = facts.Entry(line.number, at, line.who, line.what, line.subject)
        if last and _says(last) == _says(entry):
            last = facts.Entry(last.number, last.at, last.who, last.what, last.subject, last.times + 1)
            continue
        if last:
            yield last
        last = entry
    if last:
        yield last


def _says(entry: facts.Entry) -> tuple[date, str, str, str]:
    return entry.at.date(), entry.who, entry.what, entry.subject
