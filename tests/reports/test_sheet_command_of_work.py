"""manage.py sheet job, drill and erasure."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.verbs.erase import erase_client
from reports.models import Sheet
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    make.firm()
    return make.mesh(site=make.site(code="KELP-7", client=make.client(name="Ótta Sæther")))


@pytest.fixture
def sheet(tmp_path):
    """Runs the command and gives back what it printed."""

    def run(*arguments: str, **options: object) -> str:
        out = StringIO()
        call_command("sheet", *arguments, out=tmp_path / "s.pdf", stdout=out, **options)
        assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF-")
        return out.getvalue()

    return run


def test_job_writes_the_sheet_of_a_mesh_and_a_radio(mesh, sheet):
    make.spare(code="NEW-1")

    assert sheet("job", "kelp-7-a", radio="new-1").startswith("J-000001-")


def test_drill_writes_the_record_of_the_newest(mesh, sheet):
    make.drill(mesh, done_at=make.NOW - timedelta(days=90))
    newest = make.drill(mesh, done_at=make.NOW - timedelta(days=2))

    assert json.loads(sheet("drill", "KELP-7-A", json=True))["number"].startswith("D-")
    assert Sheet.objects.get().about == f"KELP-7-A {newest.pk}"


def test_drill_takes_the_day_at_the_home(mesh, sheet):
    """23:30 UTC on 23 March 2027 is 24 March in Oslo."""
    late = make.drill(mesh, done_at=make.NOW.replace(day=23, hour=23, minute=30))
    make.drill(mesh, done_at=make.NOW)

    sheet("drill", "KELP-7-A", date="2027-03-24")

    assert Sheet.objects.get().about == f"KELP-7-A {late.pk}"


def test_erasure_writes_the_certificate_by_name_mark_or_home(mesh, sheet):
    owner = erase_client(mesh.site.client, "ended", "Orla", "Tomasz", make.NOW).client

    numbers = {sheet("erasure", named) for named in ("Ótta Sæther", str(owner.uid)[:8], "KELP-7")}

    assert len(numbers) == 1
    assert numbers.pop().startswith("E-000001-")


@pytest.mark.parametrize(
    ("arguments", "options", "said"),
    [
        (
            ("job", "KELP-7-A"),
            {},
            "--radio: nothing was given; name the radio that is to take over KELP-7-A.",
        ),
        (("job", "KELP-7-A"), {"radio": "NONE-9"}, "--radio NONE-9: there is no such radio in this book."),
        (("job", "KELP-7-A"), {"radio": "LOST-1"}, "radio: LOST-1 is missing; name one that lies ready for"),
        (("job",), {"radio": "LOST-1"}, "CODE: a job sheet is about a mesh; name it, such as KELP-7-A."),
        (("drill", "KELP-7-A"), {"date": "24.3."}, "--date 24.3.: right is a day such as 2027-03-24."),
        (
            ("drill", "KELP-7-A"),
            {"date": "2027-01-01"},
            "no drill of KELP-7-A was held that day; drills were on",
        ),
        (("drill", "MOSS-1-A"), {}, "There is no mesh MOSS-1-A in this book."),
        (("erasure", "Nobody"), {}, "There is no client Nobody in this book"),
        (("erasure", "KELP-7"), {}, "Ótta Sæther was not erased; a certificate is made after"),
        (("recovery", "KELP-7-A"), {"radio": "LOST-1"}, "--radio LOST-1: only the job sheet takes it"),
        (("job", "KELP-7-A"), {"date": "2027-03-24"}, "--date 2027-03-24: only the drill record takes it"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_issued(mesh, sheet, arguments, options, said):
    make.radio(code="LOST-1", state="missing")
    make.drill(mesh)

    with pytest.raises(CommandError) as refused:
        sheet(*arguments, **options)

    assert said in str(refused.value)
    assert not Sheet.objects.exists()


def test_a_mesh_without_a_drill_says_so(mesh, sheet):
    with pytest.raises(CommandError, match="KELP-7-A: no drill of it is in this book"):
        sheet("drill", "KELP-7-A")
