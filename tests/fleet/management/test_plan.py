"""The commands visits and plan, from wanting to putting in force."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Visit, VisitPlan
from tests import make
from tests.fleet.verbs.visits.days import TUESDAY, at

pytestmark = pytest.mark.django_db

DAY = TUESDAY.isoformat()


@pytest.fixture(autouse=True)
def _good_friday(monkeypatch):
    """The commands' now is make.NOW."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: make.NOW)


@pytest.fixture
def noor():
    return make.driver("noor")


def run(*words: object) -> str:
    out = StringIO()
    call_command(*map(str, words), stdout=out, stderr=StringIO())
    return out.getvalue()


def told(*words: object):
    return json.loads(run(*words, "--json"))


def test_the_whole_way_on_the_terminal(noor):
    make.site(code="KELP-7")
    asked = ("--for", "look at the lamp", "--minutes", "45,60,90", "--window", f"{DAY} 09:00-12:00")
    want = told("visits", "want", "KELP-7", *asked)
    assert (want["home"], want["minutes"]) == ("KELP-7", [45, 60, 90])
    made = told("plan", "make", DAY, "--who", "noor", "--seconds", 2)
    (day,) = made["days"]
    assert (day["technician"], day["stops"][0]["visit"]) == ("noor", want["visit"])
    assert made["left_out"] == []
    number = made["plan"]
    moved = told("plan", "move", number, want["visit"], "--to", "noor", "--at", f"{DAY}T10:30")
    assert not moved["saved"]
    run("plan", "move", number, want["visit"], "--to", "noor", "--at", f"{DAY}T10:30", "--save")
    used = told("plan", "use", number)
    assert used["in_force"]
    assert used["days"][0]["stops"][0]["begin_at"] == f"{DAY}T10:30:00+02:00"
    assert "2027-03-30 10:30 noor" in run("visits", "list")
    assert "in force" in run("plan", "list")
    assert "look at the lamp" in run("plan", "show", number)
    assert not told("plan", "use", number, "--end")["in_force"]


def test_an_impossible_window_is_said_with_what_would_have_to_give(noor):
    home = make.site(code="KELP-7")
    make.visit(home, (at(TUESDAY, 9), at(TUESDAY, 9, 20)))
    said = run("plan", "make", DAY)
    assert "Left out: KELP-7/" in said
    assert "no window of KELP-7 is that long" in said
    assert "It would do: The window of KELP-7 of 2027-03-30 09:00 must end later by 10 minutes." in said


def test_what_is_due_is_listed_and_wanted(noor):
    mesh = make.mesh(site=make.site(code="FERN-2"))
    make.replacement(mesh, why="upgrade")
    assert told("visits", "due")[0]["work"][0]["key"] == "swap:FERN-2-A"
    run("visits", "want", "--due", "swap:fern-2-a")
    visit = Visit.objects.get()
    assert visit.tasks.get().replacement.mesh == mesh
    run("visits", "pin", visit.code, "--to", "noor")
    run("visits", "forecast", "FERN-2", DAY, "-3")
    run("visits", "waive", visit.code, "--rule", "frost", "--name", "Orla Hentsch", "--because", "stoves")
    run("visits", "end", visit.code, "--dropped", "--because", "sold")
    assert told("visits", "list") == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("plan", "make", "tomorrow"), "FIRST-DAY tomorrow: right is a day such as 2027-03-30."),
        (("plan", "make", "2027-03-30", "--who", "nobody"), "--who nobody: nobody has this user name"),
        (("plan", "make", "2027-03-30", "--seconds", "121"), "seconds: 121 cannot be; write 1 to 120."),
        (("plan", "make", "2027-03-30"), "none is wanted that has no day yet"),
        (("plan", "show", "99"), "There is no plan 99 in this book"),
        (("visits", "pin", "KELP-7/9"), "There is no visit KELP-7/9 in this book"),
        (("visits", "want", "--due", "swap:FERN-2-A"), "swap:FERN-2-A is not due"),
        (("visits", "want"), "HOME: name the home"),
    ],
    ids=["day", "person", "seconds", "no visit", "no plan", "no such visit", "not due", "no home"],
)
def test_what_cannot_be_is_said_and_nothing_is_written(words, said):
    with pytest.raises(CommandError, match=said.replace(".", r"\.")):
        run(*words)
    assert not VisitPlan.objects.exists()
    assert not Visit.objects.exists()


def test_nobody_to_send_is_an_error_status():
    make.visit()
    make.person(username="pekka", first_name="Pekka")
    with pytest.raises(CommandError, match=r"Nobody can be sent on these days\. Pekka: no base"):
        run("plan", "make", DAY)
