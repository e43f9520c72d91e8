"""Issuing sheets: facts from rows, drawn, archived, numbered; and renewing those whose facts have changed."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import F

from fleet.mesh.codes import sheet_number
from fleet.models import Mesh
from fleet.queries.spares import SpareShelf
from fleet.snapshots.digests import digest_of_bytes
from fleet.verbs import journal
from reports.drawing.counting import pages_in
from reports.drawing.sheet import Paper
from reports.facts.errors import FactsError
from reports.facts.fingerprint import digest, fingerprint
from reports.facts.head import Issue
from reports.models import Sheet, SheetKind, SheetSerial
from reports.queries.subjects import Subject, again, handover_of, recovery_of
from reports.verbs.kinds import RENEWED, WAYS
from sites.models import PaperSize, Site

PAPERS = {PaperSize.A4: Paper.A4, PaperSize.LETTER: Paper.LETTER}


def issue(subject: Subject, by: str, now: datetime) -> Sheet:
    """The sheet about this subject as of now. The last one is given back where not one printed fact has changed.

    Raises FactsError for a home whose client was erased.
    """
    site = subject.site
    if site is not None and site.client.erased_at is not None:
        day = f"{site.client.erased_at:%Y-%m-%d}"
        raise FactsError(f"{site.code} was erased with its client on {day}; no new sheet is made of it.")
    shelf = SpareShelf.load()
    last = newest(subject)
    if last is None:
        return _new(subject, by, now, shelf)
    facts = _facts(subject, _head_of(last, subject), now, shelf)
    if digest(facts) == last.digest and last.file.storage.exists(last.file.name):
        return last
    return _new(subject, by, now, shelf, last, facts)


def newest(subject: Subject) -> Sheet | None:
    """The newest sheet about this subject, whether its facts still hold or not."""
    issued = Sheet.objects.filter(kind=subject.kind, about=subject.about)
    return issued.order_by("-revision").select_related("replaces").first()


def issue_missing(now: datetime, by: str) -> list[Sheet]:
    """A hand-over sheet for every home and a recovery sheet for every mesh in care that has none."""
    shelf = SpareShelf.load()
    in_care = Site.objects.filter(meshes__in_care=True).distinct().select_related("client")
    with_handover = Sheet.objects.filter(kind=SheetKind.HANDOVER).values("site")
    wanted = [handover_of(site) for site in in_care.exclude(pk__in=with_handover)]
    with_recovery = Sheet.objects.filter(kind=SheetKind.RECOVERY).values("mesh")
    meshes = Mesh.objects.filter(in_care=True).exclude(pk__in=with_recovery).select_related("site__client")
    wanted += [recovery_of(mesh) for mesh in meshes]
    return [_new(subject, by, now, shelf) for subject in wanted]


def renew_stale(now: datetime, by: str) -> list[Sheet]:
    """A new revision of every newest sheet that shows a fact which is no longer so."""
    shelf = SpareShelf.load()
    in_force = Sheet.objects.filter(replaced_by=None, kind__in=RENEWED, site__client__erased_at=None)
    made = []
    for sheet in in_force.select_related("site__client", "mesh__site__client", "replaces"):
        subject = again(sheet)
        if subject is None:
            continue
        facts = _facts(subject, _head_of(sheet, subject), now, shelf)
        if fingerprint(facts) == sheet.fingerprint:
            continue
        if sheet.stale_since is None:
            sheet.stale_since = now
            sheet.save(update_fields=["stale_since"])
        made.append(_new(subject, by, now, shelf, sheet, facts))
    return made


def _facts(subject: Subject, head: Issue, now: datetime, shelf: SpareShelf) -> Any:
    return WAYS[subject.kind].facts(subject, head, shelf, now)


def _head_of(sheet: Sheet, subject: Subject) -> Issue:
    """The head under which a sheet was issued, to ask what it would say today."""
    replaced = sheet.replaces.revision if sheet.replaces else None
    return Issue(sheet.number, sheet.revision, subject.there(sheet.issued_at), replaced)


@transaction.atomic
def _new(
    subject: Subject,
    by: str,
    now: datetime,
    shelf: SpareShelf,
    last: Sheet | None = None,
    facts: Any = None,
) -> Sheet:
    """facts: those of now where they are known already, under whichever head."""
    way = WAYS[subject.kind]
    head = Issue(
        number=sheet_number(way.letter, _next_serial(subject.kind)),
        revision=last.revision + 1 if last else 1,
        issued_at=subject.there(now),
        replaces=last.revision if last else None,
    )
    facts = replace(facts, issue=head) if facts else _facts(subject, head, now, shelf)
    body = way.draw(facts, PAPERS[PaperSize(subject.paper)])
    sheet = Sheet(
        number=head.number,
        kind=subject.kind,
        about=subject.about,
        site=subject.site,
        mesh=subject.mesh,
        client=subject.client,
        revision=head.revision,
        replaces=last,
        issued_at=now,
        issued_by=by,
        language=subject.language,
        paper=subject.paper,
        fingerprint=fingerprint(facts),
        digest=digest(facts),
        sha256=digest_of_bytes(body).hex(),
        pages=pages_in(body),
    )
    sheet.file.save(f"{subject.code}-{subject.kind}-{head.number}.pdf", ContentFile(body), save=False)
    sheet.save()
    journal.record(by, "sheet issued", subject.code, now, number=sheet.number, sha256=sheet.sha256)
    return sheet


def _next_serial(kind: SheetKind) -> int:
    SheetSerial.objects.get_or_create(kind=kind)
    SheetSerial.objects.filter(kind=kind).update(last=F("last") + 1)
    return SheetSerial.objects.get(kind=kind).last
