"""What a sheet is about: a home, a mesh, a swap, a drill, an erased client, a month or a year."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from fleet.models import Drill, Erasure, Mesh, Radio
from reports.models import SheetKind
from sites.models import Client, Firm, Site


@dataclass(frozen=True, slots=True)
class Subject:
    """One thing that a kind of sheet can be issued about, and in which zone, language and paper size it is.

    `about` tells it from all others of its kind, and is what the sheet's revisions share. `days` are the first and the
    last of a stretch of time.
    """

    kind: SheetKind
    about: str
    code: str
    zone: str
    language: str
    paper: str
    site: Site | None = None
    mesh: Mesh | None = None
    client: Client | None = None
    radio: Radio | None = None
    drill: Drill | None = None
    erasure: Erasure | None = None
    days: tuple[date, date] | None = None

    def there(self, moment: datetime) -> datetime:
        """The moment on the clock of the home, to the second."""
        return moment.astimezone(ZoneInfo(self.zone)).replace(microsecond=0)


def handover_of(site: Site) -> Subject:
    """The hand-over sheet of a home."""
    return _at(site, SheetKind.HANDOVER, site.code, site.code)


def recovery_of(mesh: Mesh) -> Subject:
    """The recovery sheet of a mesh."""
    return _at(mesh.site, SheetKind.RECOVERY, mesh.code, mesh.code, mesh=mesh)


def job_of(mesh: Mesh, radio: Radio) -> Subject:
    """The job sheet of one replacement: this radio is to take over the mesh."""
    about = f"{mesh.code} {radio.code}"
    return _at(mesh.site, SheetKind.JOB, about, mesh.code, mesh=mesh, radio=radio)


def drill_of(drill: Drill) -> Subject:
    """The record of one drill."""
    mesh = drill.mesh
    about = f"{mesh.code} {drill.pk}"
    return _at(mesh.site, SheetKind.DRILL, about, mesh.code, mesh=mesh, drill=drill)


def evidence_of(site: Site, first: date, last: date) -> Subject:
    """What can be shown of a home for these days, both included."""
    about = f"{site.code} {first.isoformat()} {last.isoformat()}"
    return _at(site, SheetKind.EVIDENCE, about, site.code, days=(first, last))


def erasure_of(erasure: Erasure) -> Subject:
    """The certificate that a client's data were erased."""
    client = erasure.client
    site = client.sites.order_by("code").first()
    return Subject(
        SheetKind.ERASURE,
        about=str(client.uid),
        code=site.code if site else str(client.uid)[:8],
        zone=site.time_zone if site else _firm().time_zone,
        language=site.reading_language if site else client.language,
        paper=site.paper_size if site else _firm().paper_size,
        client=client,
        erasure=erasure,
    )


def digest_of(first: date, last: date) -> Subject:
    """The book of the whole firm over these days (a calendar month), both included."""
    about, firm = f"{first:%Y-%m}", _firm()
    return Subject(
        SheetKind.DIGEST, about, about, firm.time_zone, firm.language, firm.paper_size, days=(first, last)
    )


def again(sheet) -> Subject | None:  # type: ignore[no-untyped-def]
    """What a sheet that was issued before is about; None where the book no longer has it."""
    kind = SheetKind(sheet.kind)
    if kind is SheetKind.HANDOVER:
        return handover_of(sheet.site)
    if kind is SheetKind.RECOVERY:
        return recovery_of(sheet.mesh)
    if kind is SheetKind.JOB:
        radio = Radio.objects.filter(code=sheet.about.partition(" ")[2]).first()
        return job_of(sheet.mesh, radio) if radio else None
    if kind is SheetKind.DRILL:
        drill = sheet.mesh.drills.filter(pk=int(sheet.about.partition(" ")[2])).first()
        return drill_of(drill) if drill else None
    if kind is SheetKind.ERASURE:
        erasure = Erasure.objects.filter(client=sheet.client).first()
        return erasure_of(erasure) if erasure else None
    return None


def _at(site: Site, kind: SheetKind, about: str, code: str, **more) -> Subject:  # type: ignore[no-untyped-def]
    return Subject(
        kind, about, code, site.time_zone, site.reading_language, site.paper_size, site=site, **more
    )


def _firm() -> Firm:
    """The firm of the book; its defaults where nobody has entered one yet."""
    return Firm.objects.first() or Firm()
