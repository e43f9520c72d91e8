"""Noting that a sheet hangs at the home."""

from datetime import timedelta

import pytest
from django.db import IntegrityError

from fleet.models import JournalEntry
from reports.models import Sheet, SheetKind
from reports.verbs.hanging import HangError, hang
from tests import make

pytestmark = pytest.mark.django_db


def test_it_is_put_down_with_a_journal_line():
    sheet = hang(make.sheet(make.site(code="KELP-7")), "Noor", make.NOW)

    assert (sheet.hung_at, sheet.hung_by) == (make.NOW, "Noor")
    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.subject) == ("Noor", "sheet hung", "KELP-7")
    assert line.details == {"number": sheet.number}


def test_the_first_who_said_so_stays():
    sheet = make.sheet(make.site())
    hang(sheet, "Noor", make.NOW)
    again = hang(sheet, "Orla", make.NOW + timedelta(days=1))

    assert (again.hung_at, again.hung_by) == (make.NOW, "Noor")
    assert JournalEntry.objects.count() == 1


def test_a_replaced_sheet_is_refused_with_the_one_that_is_right():
    old = make.sheet(make.site())
    new = make.sheet(old.site, revision=2, replaces=old)

    with pytest.raises(HangError, match=f"{old.number} was replaced; hang {new.number} there."):
        hang(old, "Noor", make.NOW)


def test_a_job_sheet_hangs_on_no_wall():
    mesh = make.mesh()
    job = make.sheet(mesh.site, mesh, kind=SheetKind.JOB)

    with pytest.raises(HangError, match="is a job sheet; hand-over and recovery sheets hang on walls"):
        hang(job, "Noor", make.NOW)
    with pytest.raises(IntegrityError):
        Sheet.objects.filter(pk=job.pk).update(hung_at=make.NOW)


def test_a_sheet_of_an_erased_client_is_to_be_taken_down():
    sheet = make.sheet(make.site(client=make.client(erased_at=make.NOW)))

    with pytest.raises(HangError, match="take it down"):
        hang(sheet, "Noor", make.NOW)
