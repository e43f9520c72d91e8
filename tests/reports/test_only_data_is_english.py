"""Sheets made from rows, in a masked language: nothing on them is English but what people wrote themselves.

Facts may carry texts that a person typed. A sentence of ours that reaches them ready-made looks just the same there,
so here a word counts as somebody's own only where it stands in a column that people write.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
from django.apps import apps
from django.db.models import CharField, TextField

from fleet.models import DrillKind, FirmwarePolicy, Mesh, Place, RadioState
from fleet.planning.sentences import Told
from fleet.queries.spares import SpareShelf
from fleet.verbs.assess import assess
from fleet.verbs.erase import erase_client
from reports.drawing import digest_lists
from reports.drawing.sheet import Paper
from reports.facts.head import Issue
from reports.models import SheetKind
from reports.queries import subjects
from reports.verbs import issuing
from reports.verbs.kinds import WAYS
from tests import make
from tests.reports.masking import never_looked_up, speak_masked, words_of
from tests.reports.reading import pages
from tests.reports.test_job_sheet import capable, mesh  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db

FEBRUARY = date(2027, 2, 1), date(2027, 2, 28)
OURS = {
    "mesh": {"readiness_reason", "readiness_act", "readiness_gate"},
    "readinesschange": {"reason", "gate"},
    "snapshot": {"gone_because"},
    "journalentry": {"what"},
    "finding": {"text", "act", "title"},
}
"""Columns in which the book keeps English of its own."""
VERBATIM = {SheetKind.EVIDENCE: {"journalentry": {"what"}}}
"""The annex prints the journal word for word, as its SHA-256 is one over these words, and says so."""


def people_wrote(kind: SheetKind) -> Iterator[str]:
    """Every text in a column that people fill, and what a sheet of this kind says to be the book's own words."""
    for model in apps.get_models():
        if model._meta.app_label not in ("fleet", "sites", "reports"):
            continue
        ours = OURS.get(model._meta.model_name, set()) - VERBATIM.get(kind, {}).get(
            model._meta.model_name, set()
        )
        names = [
            each.attname
            for each in model._meta.concrete_fields
            if isinstance(each, CharField | TextField) and not each.choices and each.name not in ours
        ]
        for row in model.objects.values_list(*names) if names else ():
            yield from filter(None, row)


@pytest.fixture
def book(mesh):  # noqa: F811
    """A home with radios that each speak against themselves, a swap at a bad hour, and a month that is troubled."""
    release = mesh.periods.get().radio.firmware
    far = make.place(name="Lager", latitude="40.0", longitude="-74.0")
    make.spare(code="FAR-1", firmware=release, place=far)
    make.spare(code="BAD-1", firmware=capable("X1", policy=FirmwarePolicy.BARRED), blank_proven_at=None)
    make.spare(code="NOFIT-1", firmware=capable("Y1", sets_network_key=False))
    new = make.spare(code="NEW-1", firmware=release, place=Place.objects.first(), spot="Fach 3")
    sunday = make.NOW + timedelta(days=2)
    make.replacement(mesh, new_radio=new, begins_at=sunday, ends_at=sunday + timedelta(hours=3))
    make.node(mesh, label="Haustür", safety_kind="lock")
    make.drill(mesh, kind=DrillKind.BENCH, result="failed", radio=new, by="Noor")
    at = datetime(2027, 2, 20, tzinfo=UTC)
    assess(mesh, SpareShelf.load(), at)
    sheet = issuing.issue(subjects.handover_of(mesh.site), "Orla", make.NOW)
    make.signature(sheet, name="Ótta", role="deputy")
    return Mesh.objects.select_related("site__client").get(pk=mesh.pk)


def subject_of(kind: SheetKind, mesh: Mesh) -> subjects.Subject:  # noqa: F811
    """What such a sheet of this book is about."""
    new = mesh.replacements.get().new_radio
    made = {
        SheetKind.HANDOVER: lambda: subjects.handover_of(mesh.site),
        SheetKind.RECOVERY: lambda: subjects.recovery_of(mesh),
        SheetKind.JOB: lambda: subjects.job_of(mesh, new),
        SheetKind.DRILL: lambda: subjects.drill_of(mesh.drills.first()),
        SheetKind.ERASURE: lambda: subjects.erasure_of(
            erase_client(mesh.site.client, "das Ende", "Orla", "Noor", make.NOW)
        ),
        SheetKind.DIGEST: lambda: subjects.digest_of(*FEBRUARY),
        SheetKind.EVIDENCE: lambda: subjects.evidence_of(mesh.site, date(2027, 1, 1), date(2027, 3, 26)),
    }
    return made[kind]()


def printed(subject: subjects.Subject) -> str:
    """The text of the sheet."""
    issue = Issue("X-000001-0", 1, subject.there(make.NOW))
    facts = WAYS[subject.kind].facts(subject, issue, SpareShelf.load(), make.NOW)
    return "\n".join(page.extract_text() for page in pages(WAYS[subject.kind].draw(facts, Paper.A4)))


@pytest.mark.parametrize("kind", WAYS)
def test_a_sheet_in_another_language_has_no_english_but_peoples_own(book, kind, monkeypatch):
    subject = subject_of(kind, book)
    speak_masked(monkeypatch)

    text = printed(subject)

    assert never_looked_up(text, words_of(people_wrote(kind))) == set()


def test_a_ready_sentence_would_be_found(book, monkeypatch):
    """The month as it would be, did it print the English texts that the rounds write."""
    monkeypatch.setattr(digest_lists, "said", lambda told: told.text if isinstance(told, Told) else str(told))
    speak_masked(monkeypatch)

    text = printed(subjects.digest_of(*FEBRUARY))

    assert never_looked_up(text, words_of(people_wrote(SheetKind.DIGEST))) != set()


def test_what_no_spare_counts_for_is_on_the_recovery_sheet_and_masked(book, monkeypatch):
    """Else the test above could not fail there: the radios not to take, and why, must be printed."""
    make_no_spare_count(book)
    speak_masked(monkeypatch)

    text = printed(subjects.recovery_of(book))

    assert {"FAR-1", "BAD-1", "NOFIT-1"} <= set(text.replace("(", " ").split())
    assert never_looked_up(text, words_of(people_wrote(SheetKind.RECOVERY))) == set()


def make_no_spare_count(mesh: Mesh) -> None:  # noqa: F811
    """The one that would: scrapped."""
    new = mesh.replacements.get().new_radio
    new.state = RadioState.SCRAPPED
    new.save()
