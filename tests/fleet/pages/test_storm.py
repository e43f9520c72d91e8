"""A storm tried out on a page: the question, the picture, who is back when, and what would help."""

import re
from datetime import time

import pytest
from django.urls import reverse

from fleet import tasks
from fleet.models import JournalEntry, PlaceKind, Radio, StormExercise
from fleet.pages import storm as page
from sites.models import Role, WorkingTime
from tests import make
from tests.fleet.pages.words import words_of
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

ASK = "storm"
GIVEN = {
    "strikes": "random",
    "km": 25,
    "most": 20,
    "people": ["noor"],
    "rest_hours": 11,
    "runs": 20,
    "seed": 7,
}


@pytest.fixture
def homes(monkeypatch):
    """Two homes, one of them without a spare; one technician, and a shelf."""
    moment = type("Moment", (), {"now": make.NOW, "clock": staticmethod(lambda: make.NOW)})
    monkeypatch.setattr(page, "book_time", lambda: moment)
    person = make.person(
        username="noor", first_name="Noor", base_latitude="68.15000", base_longitude="14.20000"
    )
    for weekday in range(7):
        WorkingTime.objects.create(person=person, weekday=weekday, begins=time(8), ends=time(18))
    make.place(
        code="SHELF-1", name="Workshop", kind=PlaceKind.SHELF, latitude="68.15000", longitude="14.20000"
    )
    found = covered_mesh(safety_relevant=True), covered_mesh()
    Radio.objects.filter(place__site=found[1].site).delete()
    return found


def ask(client, **given) -> str:
    return words_of(client.post(reverse(ASK), {**GIVEN, **given}, follow=True).content.decode())


def test_the_question_stands_on_the_page_with_people_and_places(as_owner, homes):
    told = words_of(as_owner.get(reverse(ASK)).content.decode())
    assert "If a storm struck now, who would be back when?" in told
    assert "Noor" in told
    assert "Workshop (SHELF-1)" in told


def test_the_first_line_says_how_many_come_back_and_when(as_owner, homes):
    told = ask(as_owner)
    assert "Of 2 homes, 1 comes back; nine times in ten all of these are back within " in told
    assert "An exercise: nothing of the book is changed." in told


def test_each_home_says_when_and_what_it_wants_for(as_owner, homes):
    told = ask(as_owner)
    back, lost = homes
    assert f"{back.site.code} locks, heating or alarms" in told
    assert f"{lost.site.code} not back not back {lost.code} : no spare is left that fits" in told


def test_what_would_help_most_comes_first(as_owner, homes):
    told = ask(as_owner)
    assert re.search(
        r"What would help most one more \S+ \S+ \S+ with \S+ \(family P\) at \S+: 1 home more back", told
    )


def test_the_picture_has_a_bar_for_each_home(as_owner, homes):
    ask(as_owner)
    html = as_owner.get(reverse("storm-answer", args=[StormExercise.objects.get().pk])).content.decode()
    assert html.count('class="bar"') == 1
    assert html.count('class="limit"') == 1
    assert 'role="img" aria-labelledby="storm-says"' in html
    assert " style=" not in html


def test_a_storm_that_takes_long_is_played_by_a_job(as_owner, homes, monkeypatch):
    handed = []
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks.play_storm, "delay", handed.append)
    answer = as_owner.post(reverse(ASK), GIVEN, follow=True)
    row = StormExercise.objects.get()
    assert handed == [row.pk]
    assert f"Being played: 0 of {row.total} runs." in words_of(answer.content.decode())
    assert answer.headers["Refresh"] == "5"
    assert tasks.play_storm.apply(args=[row.pk]).get() == "done"
    done = as_owner.get(reverse("storm-answer", args=[row.pk]))
    assert "1 comes back" in words_of(done.content.decode())
    assert "Refresh" not in done.headers


def test_a_queue_that_is_away_is_said_and_loses_nothing(as_owner, homes, monkeypatch):
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks, "hand_out_storm", lambda number: False)
    assert "The queue does not answer." in ask(as_owner)
    assert StormExercise.objects.get().finished_at is None


def test_it_can_be_played_again_as_it_was_filled_in(as_owner, homes):
    ask(as_owner, strikes="named", named=f"{homes[0].site.code} {homes[1].site.code}", places=["SHELF-1"])
    form = as_owner.get(reverse(ASK), {"again": StormExercise.objects.get().pk}).context["form"]
    assert (form["strikes"].value(), form["seed"].value(), form["people"].value()) == ("named", 7, ("noor",))
    assert form["named"].value() == f"{homes[0].site.code} {homes[1].site.code}"


@pytest.mark.parametrize("again", ["x", "99", "9" * 30, "-1"])
def test_playing_again_what_is_not_there_is_an_empty_form(as_owner, homes, again):
    assert as_owner.get(reverse(ASK), {"again": again}).status_code == 200


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"strikes": "around"}, "No home is named; write the code of the home"),
        ({"strikes": "around", "home": "none-1"}, "There is no home NONE-1"),
        ({"strikes": "model"}, "No type of radio is chosen"),
        ({"strikes": "named", "named": "NONE-1"}, "There is no home NONE-1"),
        ({"most": 61}, "The count of homes is 61; write 1 to 60."),
        ({"runs": 1001}, "The count of runs is 1001; write 10 to 1000."),
        ({"seed": "9" * 400}, "The seed is 99999999999999999999...; write 0 to 2.14748e+09."),
        ({"seed": "x"}, "Enter a whole number."),
        ({"people": ["ghost"]}, "ghost is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_named_with_what_would_be_right(as_owner, homes, given, told):
    assert told in ask(as_owner, **given)
    assert not StormExercise.objects.exists()
    assert not JournalEntry.objects.filter(what="storm asked").exists()


def test_exercises_stay_and_are_listed(as_owner, homes):
    ask(as_owner)
    told = words_of(as_owner.get(reverse(ASK)).content.decode())
    assert "20 homes at random, 1 person" in told
    assert "played 20 times, seed 7" in told


@pytest.mark.parametrize(
    ("role", "status"), [(Role.OFFICE, 200), (Role.TECHNICIAN, 404), (Role.SUBCONTRACTOR, 404)]
)
def test_storms_are_for_the_owner_and_the_office(client, homes, role, status):
    ends = {"access_ends_on": "2999-01-01"} if role == Role.SUBCONTRACTOR else {}
    client.force_login(make.person(role=role, **ends))
    assert client.get(reverse(ASK)).status_code == status


def test_nobody_plays_without_signing_in(client, homes):
    assert client.post(reverse(ASK), GIVEN).status_code == 302
    assert not StormExercise.objects.exists()
