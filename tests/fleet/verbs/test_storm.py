"""Asking what a storm would do: kept with its seed and its case, so that it can be played again."""

from dataclasses import replace
from datetime import time, timedelta

import pytest

from fleet.models import JournalEntry, Mesh, Radio, StormExercise
from fleet.planning.storm.answer import answer_from, answered
from fleet.planning.storm.asking import Asked, Strikes
from fleet.planning.storm.asking import from_data as asked_from
from fleet.planning.storm.case import StormError, from_data
from fleet.verbs import storm
from fleet.verbs.chunk import Outcome
from fleet.verbs.erase_rows import clear_rows
from sites.models import WorkingTime
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


def now():
    return make.NOW


@pytest.fixture
def asked() -> Asked:
    """Three homes, and one technician who works every day."""
    person = make.person(username="noor", base_latitude="68.15000", base_longitude="14.20000")
    for weekday in range(7):
        WorkingTime.objects.create(person=person, weekday=weekday, begins=time(8), ends=time(18))
    for _ in range(3):
        covered_mesh()
    return Asked(Strikes.RANDOM, people=("noor",), runs=20, seed=7)


def test_an_exercise_is_written_down_with_seed_and_case_and_a_journal_line(asked):
    row = storm.ask(asked, "Orla", make.NOW)
    assert (row.words, row.seed, row.runs, row.done) == ("20 homes at random, 1 person", 7, 20, 0)
    assert asked_from(row.asked) == asked
    assert len(from_data(row.case).meshes) == 3
    line = JournalEntry.objects.get()
    assert (line.what, line.details["homes"], line.details["seed"]) == ("storm asked", 3, 7)


def test_it_is_played_to_its_end(asked):
    row = storm.ask(asked, "Orla", make.NOW)
    assert storm.play(row.pk, now) is Outcome.DONE
    row.refresh_from_db()
    found = answer_from(row.answer)
    assert (row.finished_at, row.done, found.runs, found.back) == (make.NOW, row.total, 20, 3)


def test_the_same_row_gives_the_same_answer_after_the_book_has_changed(asked):
    row = storm.ask(asked, "Orla", make.NOW)
    storm.play(row.pk, now)
    Radio.objects.update(blank_proven_at=None)
    row.refresh_from_db()
    again = answered(from_data(row.case), row.runs, storm.draws(row.seed))
    assert again == answer_from(row.answer)


def test_one_that_is_played_is_left_alone(asked):
    row = storm.ask(asked, "Orla", make.NOW)
    storm.play(row.pk, now)
    assert storm.play(row.pk, now) is Outcome.ELSEWHERE
    assert storm.play(0, now) is Outcome.ELSEWHERE


def test_one_that_lost_its_worker_is_found_once_and_played_anew(asked):
    row = storm.ask(asked, "Orla", make.NOW)
    assert storm.left_alone(make.NOW + timedelta(minutes=5)) == [row.pk]
    assert storm.left_alone(make.NOW + timedelta(minutes=5)) == []
    assert storm.play(row.pk, now) is Outcome.DONE


def test_old_exercises_are_let_go(asked, monkeypatch):
    monkeypatch.setattr(storm, "MOST_KEPT", 2)
    rows = [storm.ask(asked, "Orla", make.NOW) for _ in range(3)]
    assert set(StormExercise.objects.values_list("pk", flat=True)) == {row.pk for row in rows[1:]}


@pytest.mark.parametrize(
    ("given", "field", "told"),
    [
        ({"most": 0}, "most", r"The count of homes is 0; write 1 to 60\."),
        ({"runs": 5}, "runs", r"The count of runs is 5; write 10 to 1000\."),
        ({"km": -1}, "km", "The radius in km is -1; write 0 to 1000"),
        ({"rest_hours": 25}, "rest_hours", "write 0 to 24"),
        ({"seed": -1}, "seed", "The seed is -1"),
        ({"strikes": Strikes.AROUND}, "home", "No home is named"),
        ({"strikes": Strikes.MODEL}, "model", "No type of radio is chosen"),
        ({"strikes": Strikes.NAMED}, "named", "No home is named"),
        ({"strikes": Strikes.NAMED, "named": tuple(map(str, range(61)))}, "named", "61 homes are named"),
    ],
)
def test_what_cannot_be_asked_is_named_with_what_would_be_right(given, field, told):
    with pytest.raises(StormError, match=told) as caught:
        Asked(**{"strikes": Strikes.RANDOM, "people": (), **given})
    assert caught.value.field == field


def test_what_the_book_does_not_have_leaves_nothing_half_written(asked):
    with pytest.raises(StormError, match="There is no home NONE-1"):
        storm.ask(Asked(Strikes.NAMED, people=("noor",), named=("NONE-1",)), "Orla", make.NOW)
    assert not StormExercise.objects.exists()
    assert not JournalEntry.objects.exists()


def test_an_exercise_goes_with_a_client_who_is_erased(asked):
    mesh = Mesh.objects.first()
    named = Asked(Strikes.NAMED, people=("noor",), named=(mesh.site.code,), runs=20)
    other = Mesh.objects.last()
    gone = storm.ask(named, "Orla", make.NOW)
    kept = storm.ask(replace(named, named=(other.site.code,)), "Orla", make.NOW)
    clear_rows([mesh], make.NOW, "Orla")
    assert list(StormExercise.objects.values_list("pk", flat=True)) == [kept.pk]
    assert gone.pk != kept.pk
