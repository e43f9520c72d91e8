"""Issuing sheets: facts from rows, drawn, archived, numbered; and renewing those whose facts have changed."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.db.models import F, QuerySet

from fleet.mesh.codes import sheet_number
from fleet.models import Mesh
from fleet.queries.spares import SpareShelf
from fleet.snapshots.digests import digest_of_bytes
from fleet.verbs import journal
from reports.drawing.counting import pages_in
from reports.drawing.sheet import Paper
from reports.facts.errors import FactsError
from reports.facts.fingerprint import digest, fingerprint, sections
from reports.facts.head import Issue
from reports.models import Sheet, SheetKind, SheetSerial
from reports.queries.subjects import Subject, again, handover_of, recovery_of
from reports.verbs.kinds import RENEWED, WAYS
from sites.models import PaperSize, Site

PAPERS = {PaperSize.A4: Paper.A4, PaperSize.LETTER: Paper.LETTER}


class AlreadyReplaced(Exception):
    """Another has made the next revision of this sheet."""


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
    """A new revision of every newest sheet that shows a fact which is no longer so, one after the other."""
    shelf = SpareShelf.load()
    made = (revise(sheet, by, now, shelf) for sheet in compared().order_by("-issued_at", "-pk"))
    return [sheet for sheet in made if sheet is not None]


def compared() -> QuerySet[Sheet]:
    """The newest sheets of the kinds that go stale, with all that telling it takes."""
    sheets = Sheet.objects.filter(replaced_by=None, kind__in=RENEWED, site__client__erased_at=None)
    return sheets.select_related("site__client", "mesh__site__client", "replaces")


def revise(sheet: Sheet, by: str, now: datetime, shelf: SpareShelf) -> Sheet | None:
    """A new revision of this sheet where a fact that it shows is no longer so; None where all still holds.

    Where another was quicker, the revision that the other made.
    """
    today = facts_today(sheet, now, shelf)
    if today is None or fingerprint(today[1]) == sheet.fingerprint:
        return None
    subject, facts = today
    sheet.stale_since = sheet.stale_since or now
    return _new(subject, by, now, shelf, sheet, facts)


def facts_today(sheet: Sheet, now: datetime, shelf: SpareShelf) -> tuple[Subject, Any] | None:
    """What a sheet is about and what it would say as of now; None where the book no longer has its subject."""
    subject = again(sheet)
    return (subject, _facts(subject, _head_of(sheet, subject), now, shelf)) if subject else None


def _facts(subject: Subject, head: Issue, now: datetime, shelf: SpareShelf) -> Any:
    return WAYS[subject.kind].facts(subject, head, shelf, now)


def _head_of(sheet: Sheet, subject: Subject) -> Issue:
    """The head under which a sheet was issued, to ask what it would say today."""
    replaced = sheet.replaces.revision if sheet.replaces else None
    there = subject.there(sheet.issued_at)
    return Issue(sheet.number, sheet.revision, there, replaced, verify_at=settings.BOOK_ADDRESS)


def _new(
    subject: Subject,
    by: str,
    now: datetime,
    shelf: SpareShelf,
    last: Sheet | None = None,
    facts: Any = None,
) -> Sheet:
    """facts: those of now where they are known already, under whichever head.

    It is drawn outside any transaction, as that takes longest; a number whose sheet is not kept then stays unused.
    """
    way = WAYS[subject.kind]
    head = Issue(
        number=sheet_number(way.letter, _next_serial(subject.kind)),
        revision=last.revision + 1 if last else 1,
        issued_at=subject.there(now),
        replaces=last.revision if last else None,
        verify_at=settings.BOOK_ADDRESS,
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
        shown=sections(facts) if way.renewed else {},
        checked_at=now if way.renewed else None,
    )
    return _kept(sheet, f"{subject.code}-{subject.kind}-{head.number}.pdf", body, subject.code)


def _kept(sheet: Sheet, name: str, body: bytes, code: str) -> Sheet:
    """The sheet as a row and a file, or where another has put this revision down meanwhile, that one."""
    try:
        with transaction.atomic():
            if sheet.replaces:
                _retire(sheet.replaces)
            sheet.file.save(name, ContentFile(body), save=False)
            sheet.save()
            journal.record(
                sheet.issued_by,
                "sheet issued",
                code,
                sheet.issued_at,
                number=sheet.number,
                sha256=sheet.sha256,
            )
    except (IntegrityError, AlreadyReplaced):
        if sheet.file:
            sheet.file.storage.delete(sheet.file.name)
        return Sheet.objects.get(kind=sheet.kind, about=sheet.about, revision=sheet.revision)
    return sheet


def _retire(last: Sheet) -> None:
    """Hold the sheet that is replaced, so that of two who make its next revision one does, and compare it no more."""
    held = Sheet.objects.select_for_update().get(pk=last.pk)
    if Sheet.objects.filter(replaces=held).exists():
        raise AlreadyReplaced(last.number)
    held.stale_since = held.stale_since or last.stale_since
    held.shown, held.checked_at, held.check_error = {}, None, ""
    held.save(update_fields=["stale_since", "shown", "checked_at", "check_error"])


@transaction.atomic
def _next_serial(kind: SheetKind) -> int:
    SheetSerial.objects.get_or_create(kind=kind)
    SheetSerial.objects.filter(kind=kind).update(last=F("last") + 1)
    return SheetSerial.objects.get(kind=kind).last
