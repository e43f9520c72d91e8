"""The firm's own travel minutes: a look at a file, putting it in force, ending it, and what plans drive by then."""

import json
from io import StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import JournalEntry, TravelMatrix
from fleet.planning.reach import Position
from fleet.planning.visits.matrix import ByMatrix
from fleet.planning.visits.travel import ByRoad
from fleet.queries.travel import matrix_in_force, travel_of_firm
from fleet.verbs import travel
from sites.models import Role
from tests import make
from tests.fleet.pages.words import words_of

pytestmark = pytest.mark.django_db

GOOD = b"from,to,minutes,hours\nkelp-7,NOOR,20,\nnoor,KELP-7,30,\nnoor,KELP-7,60,07:00-09:00\n"
HERE = Position(0, 0)


@pytest.fixture(autouse=True)
def book():
    make.mesh(site=make.site(code="KELP-7"))
    make.mesh(site=make.site(code="SALT-9"))
    make.driver("noor")


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "ways.csv"
    path.write_bytes(GOOD)
    return path


def look(client, octets=GOOD):
    return client.post(reverse("travel"), {"ways": SimpleUploadedFile("ways.csv", octets)})


def run(*words):
    out = StringIO()
    call_command("travel", *map(str, words), stdout=out)
    return out.getvalue()


def test_a_look_tells_what_a_file_would_do_and_writes_nothing(as_owner):
    told = words_of(look(as_owner).content.decode())
    assert "This file has minutes for 2 ways. Nothing is written yet." in told
    assert "4 ways between homes in care and bases are not in it" in told
    assert "07:00-09:00 50 % of a free road's noor to KELP-7 , 0 min" in told
    assert not TravelMatrix.objects.exists()


def test_what_was_looked_at_is_put_in_force_and_plans_drive_by_it(as_owner, owner):
    text = GOOD.decode()
    answer = as_owner.post(
        reverse("travel-use"), {"text": text.replace("\n", "\r\n"), "seen": ""}, follow=True
    )

    assert "Plans drive by the firm's own minutes for 2 ways." in words_of(answer.content.decode())
    ways = travel_of_firm()
    assert isinstance(ways, ByMatrix)
    assert ways.minutes("KELP-7", HERE, "noor", HERE) == 20
    assert ways.hours.paces[1][1] == 0.5
    assert ways.minutes("SALT-9", HERE, "noor", Position(0, 1)) > 20  # by great circle
    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.details["ways"]) == (str(owner), "travel matrix put in force", 2)


def test_another_file_takes_its_place_and_an_end_leads_back_to_great_circles(as_owner):
    first = travel.use(GOOD, None, "Orla", make.NOW)
    second = travel.use(b"from,to,minutes\nKELP-7,SALT-9,9\n", first, "Orla", make.NOW)
    assert matrix_in_force() == second
    as_owner.post(reverse("travel-end"), {"seen": second.pk})
    assert matrix_in_force() is None
    assert isinstance(travel_of_firm(), ByRoad)
    assert TravelMatrix.objects.count() == 2


@pytest.mark.parametrize("act", ["use", "end"])
def test_whoever_saw_another_state_changes_nothing(as_owner, act):
    first = travel.use(GOOD, None, "Orla", make.NOW)
    travel.use(GOOD, first, "Tomasz", make.NOW)
    answer = as_owner.post(reverse(f"travel-{act}"), {"seen": first.pk, "text": GOOD.decode()}, follow=True)
    assert "Somebody has changed the travel minutes meanwhile" in words_of(answer.content.decode())
    assert matrix_in_force().made_by == "Tomasz"


def test_faults_are_told_by_line_and_column_and_what_counted_counts_on(as_owner):
    held = travel.use(GOOD, None, "Orla", make.NOW)
    answer = look(as_owner, b"from,to,minutes\nKELP-8,noor,20\nKELP-7,noor,soon\n")
    told = words_of(answer.content.decode())
    assert answer.status_code == 422
    assert "Nothing was written: the file has 2 faults." in told
    assert "Line 2, column from: KELP-8 . Right is the code of a home" in told
    assert "Line 3, column minutes: soon . Right is a number from 0 to 10080" in told
    assert matrix_in_force() == held


def test_a_changed_text_is_judged_again_before_it_counts(as_owner):
    answer = as_owner.post(reverse("travel-use"), {"text": "from,to,minutes\nKELP-8,noor,20\n", "seen": ""})
    assert answer.status_code == 422
    assert not TravelMatrix.objects.exists()


@pytest.mark.parametrize("seen", ["9" * 5000, "-1", "x", "1e3"])
@pytest.mark.parametrize("act", ["travel-use", "travel-end"])
def test_a_number_that_is_no_matrix_is_none(as_owner, act, seen):
    assert as_owner.post(reverse(act), {"seen": seen, "text": GOOD.decode()}).status_code == 302


def test_it_is_for_the_office(client):
    for person, status in (
        (make.person(role=Role.OFFICE), 200),
        (make.person(), 404),
        (make.subcontractor(), 404),
    ):
        client.force_login(person)
        answers = [client.get(reverse("travel")).status_code]
        if status == 404:
            answers += [client.post(reverse(f"travel-{act}")).status_code for act in ("use", "end")]
        assert set(answers) == {status}


def test_the_command_looks_uses_shows_and_ends(file):
    assert "2 ways with minutes of their own." in run("look", file)
    assert not TravelMatrix.objects.exists()
    run("use", file, "--by", "Orla")
    assert json.loads(run("show", "--json"))["slow"][0]["hours"] == "07:00-09:00"
    assert "by great circles" in run("end", "--by", "Orla")
    assert matrix_in_force() is None


@pytest.mark.parametrize(
    ("octets", "told"),
    [
        (b"", "Line 1"),
        (b"from,to,minutes\nKELP-7,noor,-2\n", "Line 2, minutes: '-2'"),
        (None, "No such file"),
    ],
    ids=["empty", "minutes", "no file"],
)
def test_the_command_names_what_is_wrong_and_writes_nothing(file, octets, told):
    if octets is None:
        file.unlink()
    else:
        file.write_bytes(octets)
    with pytest.raises(CommandError, match=told):
        run("use", file, "--by", "Orla")
    assert not TravelMatrix.objects.exists()


def test_there_is_nothing_to_end_where_great_circles_count():
    with pytest.raises(CommandError, match="no minutes of the firm's own are in force"):
        run("end", "--by", "Orla")
