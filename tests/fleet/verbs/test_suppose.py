"""Asking what a change would do, and an answer that grows chunk by chunk, whoever works on it."""

from datetime import timedelta

import pytest

from fleet.models import JournalEntry, Mesh, Supposal
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import AddedSpare, SupposingError, Supposition
from fleet.queries import supposing
from fleet.queries.supposed_rows import found_in_book
from fleet.verbs import suppose
from fleet.verbs.chunk import Outcome
from fleet.verbs.kept_answers import LOST_AFTER
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

MONTHLY = Supposition(drill_days=30)


@pytest.fixture
def meshes(monkeypatch) -> list[Mesh]:
    """Five, in chunks of two."""
    monkeypatch.setattr(supposing, "MESHES_A_CHUNK", 2)
    return [covered_mesh() for _ in range(5)]


def now():
    return make.NOW


def asked(change: Supposition = MONTHLY) -> Supposal:
    return suppose.ask(change, "Orla", make.NOW)


def worked(row: Supposal, until=None) -> Supposal:
    suppose.go_on(row.pk, now, until)
    row.refresh_from_db()
    return row


def test_a_question_is_written_down_with_its_words_and_a_journal_line(meshes):
    row = asked()
    assert (row.words, row.total, row.done, row.finished_at) == ("a drill every 30 days", 5, 0, None)
    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.details) == (
        "Orla",
        "what-if asked",
        {"supposed": "a drill every 30 days", "meshes": 5},
    )


def test_nothing_is_no_question(meshes):
    with pytest.raises(SupposingError, match="fill in at least one change"):
        asked(Supposition())
    assert not Supposal.objects.exists()


def test_what_the_book_does_not_have_is_not_asked(meshes):
    with pytest.raises(SupposingError, match="There is no X9"):
        asked(Supposition(added=(AddedSpare("X9", "1", 1, "SHELF-1"),)))
    assert not Supposal.objects.exists()


def test_the_answer_is_what_the_query_finds(meshes):
    row = worked(asked())
    found = supposing.suppose(found_in_book(MONTHLY), make.NOW)
    assert (row.done, row.finished_at) == (5, make.NOW)
    tally = Tally(**row.tally)
    assert tally.moves == found.tally.moves == {"covered to thin": 5}
    assert tally.hours_after == pytest.approx(found.tally.hours_after)
    assert list(row.changes.values_list("mesh__code", "was", "becomes")) == [
        (mesh.code, "covered", "thin") for mesh in meshes
    ]
    one = row.changes.first()
    assert one.why_becomes == "The last drill was 60 days ago; the limit is 30 days."
    assert one.why_was.startswith(f"{meshes[0].code} is covered.")


def test_an_answer_is_put_down_after_a_chunk_and_taken_up_again(meshes):
    row = asked()
    assert suppose.go_on(row.pk, now, until=make.NOW) is Outcome.PUT_DOWN
    row.refresh_from_db()
    assert (row.done, row.changes.count(), row.finished_at) == (2, 2, None)
    row = worked(row)
    assert (row.done, row.changes.count(), Tally(**row.tally).meshes) == (5, 5, 5)


def test_two_workers_at_one_answer_count_no_mesh_twice(meshes, monkeypatch):
    row = asked()
    weigh = supposing.Supposing.weigh
    overtaken = []

    def slow(self, chunk):
        found = weigh(self, chunk)
        if not overtaken:
            overtaken.append(True)
            assert suppose.go_on(row.pk, now) is Outcome.DONE
        return found

    monkeypatch.setattr(supposing.Supposing, "weigh", slow)
    assert suppose.go_on(row.pk, now) is Outcome.ELSEWHERE
    row.refresh_from_db()
    assert (row.done, row.changes.count(), Tally(**row.tally).meshes) == (5, 5, 5)


def test_an_answer_that_is_done_is_left_alone(meshes):
    row = worked(asked())
    assert suppose.go_on(row.pk, now) is Outcome.ELSEWHERE


def test_a_mesh_that_fails_is_noted_and_the_rest_goes_on(meshes):
    Mesh.objects.filter(pk=meshes[1].pk).update(security_mode="centrall")
    row = worked(asked())
    assert [(each["mesh"], each["error"]) for each in row.errors] == [(meshes[1].code, "ValueError")]
    assert (row.done, Tally(**row.tally).meshes) == (5, 4)


def test_what_left_the_book_before_the_answer_ends_it_with_a_sentence(meshes):
    place = make.place(code="SHELF-7", kind="shelf")
    build = meshes[0].periods.get().radio.firmware
    row = asked(Supposition(added=(AddedSpare(build.model.code, build.version, 1, "SHELF-7"),)))
    place.delete()
    row = worked(row)
    assert row.finished_at
    assert row.refused.startswith("There is no place SHELF-7")


def test_an_answer_without_a_sign_is_handed_out_once_more_and_not_every_minute(meshes):
    row = asked()
    later = make.NOW + LOST_AFTER + timedelta(seconds=1)
    assert suppose.left_alone(make.NOW + timedelta(seconds=30)) == []
    assert suppose.left_alone(later) == [row.pk]
    assert suppose.left_alone(later + timedelta(minutes=1)) == []


def test_answers_that_are_done_are_never_handed_out(meshes):
    worked(asked())
    assert suppose.left_alone(make.NOW + timedelta(days=1)) == []


def test_only_the_newest_answers_are_kept(meshes):
    first = asked()
    for _ in range(suppose.MOST_KEPT):
        asked()
    assert Supposal.objects.count() == suppose.MOST_KEPT
    assert not Supposal.objects.filter(pk=first.pk).exists()


def test_an_answer_that_was_let_go_while_it_grew_is_dropped(meshes, monkeypatch):
    row = asked()
    weigh = supposing.Supposing.weigh

    def gone(self, chunk):
        Supposal.objects.all().delete()
        return weigh(self, chunk)

    monkeypatch.setattr(supposing.Supposing, "weigh", gone)
    assert suppose.go_on(row.pk, now) is Outcome.ELSEWHERE
