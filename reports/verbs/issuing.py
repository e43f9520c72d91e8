"""Issuing sheets: facts from rows, drawn, archived, numbered; and renewing those whose facts have changed."""

from dataclasses import replace
from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import F

from fleet.mesh.codes import sheet_number
from fleet.models import Mesh
from fleet.queries.spares import SpareShelf
from fleet.snapshots.digests import digest_of_bytes
from fleet.verbs import journal
from reports.drawing import handover as handover_drawing
from reports.drawing import recovery as recovery_drawing
from reports.drawing.counting import pages_in
from reports.drawing.sheet import Paper
from reports.facts.errors import FactsError
from reports.facts.fingerprint import digest, fingerprint
from reports.facts.handover import HandoverFacts
from reports.facts.head import Issue
from reports.facts.recovery import RecoveryFacts
from reports.models import Sheet, SheetKind, SheetSerial
from reports.queries.handover import handover_facts
from reports.queries.home import at_home
from reports.queries.recovery import recovery_facts
from sites.models import PaperSize, Site

LETTERS = {SheetKind.HANDOVER: "H", SheetKind.RECOVERY: "R"}
PAPERS = {PaperSize.A4: Paper.A4, PaperSize.LETTER: Paper.LETTER}

Subject = Site | Mesh
Facts = HandoverFacts | RecoveryFacts


def issue(kind: SheetKind, subject: Subject, by: str, now: datetime) -> Sheet:
    """The sheet of this kind as of now. The last one is given back where not one printed fact has changed.

    subject is the home for a hand-over sheet, the mesh for a recovery sheet. Raises FactsError for a home whose client
    was erased.
    """
    site = subject.site if isinstance(subject, Mesh) else subject
    if site.client.erased_at is not None:
        day = f"{site.client.erased_at:%Y-%m-%d}"
        raise FactsError(f"{site.code} was erased with its client on {day}; no new sheet is made of it.")
    shelf = SpareShelf.load()
    last = newest(kind, subject)
    if last is None:
        return _new(kind, subject, by, now, shelf)
    facts = _facts(subject, _head_of(last, subject), now, shelf)
    if digest(facts) == last.digest and last.file.storage.exists(last.file.name):
        return last
    return _new(kind, subject, by, now, shelf, last, facts)


def newest(kind: SheetKind, subject: Subject) -> Sheet | None:
    """The newest sheet of this kind, whether its facts still hold or not."""
    return subject.sheets.filter(kind=kind).order_by("-revision").select_related("replaces").first()


def issue_missing(now: datetime, by: str) -> list[Sheet]:
    """A hand-over sheet for every home and a recovery sheet for every mesh in care that has none."""
    shelf = SpareShelf.load()
    made = []
    for site in Site.objects.filter(meshes__in_care=True).distinct().select_related("client"):
        if newest(SheetKind.HANDOVER, site) is None:
            made.append(_new(SheetKind.HANDOVER, site, by, now, shelf))
    for mesh in Mesh.objects.filter(in_care=True, sheets=None).select_related("site__client"):
        made.append(_new(SheetKind.RECOVERY, mesh, by, now, shelf))
    return made


def renew_stale(now: datetime, by: str) -> list[Sheet]:
    """A new revision of every newest sheet that shows a fact which is no longer so."""
    shelf = SpareShelf.load()
    in_the_book = Sheet.objects.filter(replaced_by=None, site__client__erased_at=None)
    newest_ones = in_the_book.select_related("site__client", "mesh__site__client", "replaces")
    made = []
    for sheet in newest_ones:
        subject = sheet.mesh or sheet.site
        facts = _facts(subject, _head_of(sheet, subject), now, shelf)
        if fingerprint(facts) == sheet.fingerprint:
            continue
        if sheet.stale_since is None:
            sheet.stale_since = now
            sheet.save(update_fields=["stale_since"])
        made.append(_new(SheetKind(sheet.kind), subject, by, now, shelf, sheet, facts))
    return made


def _facts(subject: Subject, head: Issue, now: datetime, shelf: SpareShelf) -> Facts:
    if isinstance(subject, Mesh):
        return recovery_facts(subject, head, shelf, now)
    return handover_facts(subject, head, now)


def _head_of(sheet: Sheet, subject: Subject) -> Issue:
    """The head under which a sheet was issued, to ask what it would say today."""
    replaced = sheet.replaces.revision if sheet.replaces else None
    return Issue(sheet.number, sheet.revision, _at_home(sheet.issued_at, subject), replaced)


def _draw(facts: Facts, paper: Paper) -> bytes:
    if isinstance(facts, RecoveryFacts):
        return recovery_drawing.draw(facts, paper)
    return handover_drawing.draw(facts, paper)


@transaction.atomic
def _new(
    kind: SheetKind,
    subject: Subject,
    by: str,
    now: datetime,
    shelf: SpareShelf,
    last: Sheet | None = None,
    facts: Facts | None = None,
) -> Sheet:
    """facts: those of now where they are known already, under whichever head."""
    site = subject.site if isinstance(subject, Mesh) else subject
    head = Issue(
        number=sheet_number(LETTERS[kind], _next_serial(kind)),
        revision=last.revision + 1 if last else 1,
        issued_at=_at_home(now, subject),
        replaces=last.revision if last else None,
    )
    facts = replace(facts, issue=head) if facts else _facts(subject, head, now, shelf)
    body = _draw(facts, PAPERS[PaperSize(site.paper_size)])
    sheet = Sheet(
        number=head.number,
        kind=kind,
        site=site,
        mesh=subject if isinstance(subject, Mesh) else None,
        revision=head.revision,
        replaces=last,
        issued_at=now,
        issued_by=by,
        language=site.reading_language,
        paper=site.paper_size,
        fingerprint=fingerprint(facts),
        digest=digest(facts),
        sha256=digest_of_bytes(body).hex(),
        pages=pages_in(body),
    )
    sheet.file.save(f"{subject.code}-{kind}-{head.number}.pdf", ContentFile(body), save=False)
    sheet.save()
    journal.record(by, "sheet issued", subject.code, now, number=sheet.number, sha256=sheet.sha256)
    return sheet


def _next_serial(kind: SheetKind) -> int:
    SheetSerial.objects.get_or_create(kind=kind)
    SheetSerial.objects.filter(kind=kind).update(last=F("last") + 1)
    return SheetSerial.objects.get(kind=kind).last


def _at_home(moment: datetime, subject: Subject) -> datetime:
    site = subject.site if isinstance(subject, Mesh) else subject
    return at_home(moment, site).replace(microsecond=0)
