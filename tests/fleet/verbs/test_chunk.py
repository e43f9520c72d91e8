"""A chunk of a round: who may work on it, and that every mesh in it is done once."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.db import OperationalError

from fleet.models import ReadinessChange
from fleet.verbs import assess, chunk
from fleet.verbs import round as rounds
from fleet.verbs.chunk import MOST_TRIES, Holder, Outcome
from tests import make
from tests.fleet.verbs.covered import covered_mesh
from tests.fleet.verbs.killing import Killed, killed_after

pytestmark = pytest.mark.django_db

MINUTE = timedelta(minutes=1)
LEASE = timedelta(seconds=settings.ROUND_LEASE_SECONDS)
ME, OTHER = Holder("me", "worker@here"), Holder("other", "worker@there")


@pytest.fixture
def meshes():
    return [covered_mesh() for _ in range(3)]


@pytest.fixture
def report(meshes):
    return rounds.begin(make.NOW, by="test")


def work(report, holder=ME, now=make.NOW, number=1, **given):
    return rounds.run_chunk(report.pk, number, holder, lambda: now, **given)


def held(report, holder, now=make.NOW):
    report.chunks.update(token=holder.token, holder=holder.name, sign_at=now, claim=1)


def assessed(meshes):
    for mesh in meshes:
        mesh.refresh_from_db()
    return [mesh.assessed_at is not None for mesh in meshes]


def test_a_chunk_is_done_and_with_the_last_one_the_round(report, meshes):
    assert work(report) is Outcome.DONE

    report.refresh_from_db()
    assert (report.state, report.done) == ("done", 3)
    assert assessed(meshes) == [True] * 3


def test_a_chunk_that_another_is_at_work_on_is_left_alone(report, meshes):
    held(report, OTHER)

    assert work(report, now=make.NOW + LEASE) is Outcome.ELSEWHERE
    assert assessed(meshes) == [False] * 3


def test_a_chunk_whose_worker_gives_no_sign_is_taken_when_its_lease_is_over(report):
    held(report, OTHER)

    assert work(report, now=make.NOW + LEASE + MINUTE) is Outcome.DONE


def test_a_sign_from_the_future_holds_no_chunk(report):
    held(report, OTHER, make.NOW + timedelta(hours=2))

    assert work(report) is Outcome.DONE


def test_a_job_that_is_handed_out_again_takes_its_own_chunk_at_once(report):
    held(report, ME)

    assert work(report, now=make.NOW + MINUTE) is Outcome.DONE


def test_whoever_lost_the_chunk_changes_nothing_more(report, meshes):
    def taken_by_another():
        report.chunks.update(token="other", claim=99)

    assert work(report, step=taken_by_another) is Outcome.ELSEWHERE
    assert assessed(meshes) == [True, False, False]
    assert report.chunks.get().done == 1


def test_a_round_that_was_stopped_ends_at_the_next_mesh(report, meshes):
    outcome = work(report, step=lambda: rounds.stop(report.pk, "Orla", make.NOW))

    assert outcome is Outcome.ELSEWHERE
    report.refresh_from_db()
    assert (report.state, report.done) == ("broken", 1)
    assert assessed(meshes) == [True, False, False]


def test_a_killed_worker_leaves_no_mesh_half_done_and_the_next_goes_on(report, meshes):
    with pytest.raises(Killed):
        work(report, step=killed_after(2))
    assert assessed(meshes) == [True, True, False]

    assert work(report, OTHER) is Outcome.DONE
    report.refresh_from_db()
    assert report.done == 3
    assert ReadinessChange.objects.filter(round=report).count() == 3


def test_a_chunk_is_put_down_between_two_meshes_when_time_is_up(report, meshes):
    moments = iter([make.NOW, make.NOW, make.NOW + 2 * MINUTE])

    outcome = rounds.run_chunk(report.pk, 1, ME, lambda: next(moments), until=make.NOW + MINUTE)

    assert outcome is Outcome.PUT_DOWN
    assert assessed(meshes) == [True, False, False]
    assert report.chunks.get().token == ""


def test_a_chunk_that_is_done_is_not_done_again(report):
    work(report)
    assert work(report, OTHER) is Outcome.ELSEWHERE


def test_trouble_with_the_database_is_no_error_of_the_mesh(report, meshes, monkeypatch):
    def away(*_):
        raise OperationalError("the server closed the connection")

    monkeypatch.setattr(assess, "judged", away)
    with pytest.raises(OperationalError):
        work(report)
    monkeypatch.undo()

    assert report.chunks.get().done == 0
    assert work(report) is Outcome.DONE
    report.refresh_from_db()
    assert report.errors == []


def test_a_mesh_that_kills_its_workers_again_and_again_is_stepped_over(report, meshes, monkeypatch):
    real = assess.judged

    def fatal(mesh, *rest):
        if mesh.pk == meshes[1].pk:
            raise Killed
        return real(mesh, *rest)

    monkeypatch.setattr(assess, "judged", fatal)
    for _ in range(MOST_TRIES):
        with pytest.raises(Killed):
            work(report)

    assert work(report) is Outcome.DONE
    report.refresh_from_db()
    [error] = report.errors
    assert (error["mesh"], error["error"]) == (meshes[1].code, "WorkerLost")
    assert assessed(meshes) == [True, False, True]


def test_a_mesh_that_leaves_care_while_the_round_runs_is_passed_by(report, meshes):
    def leave():
        meshes[2].in_care = False
        meshes[2].save()

    assert work(report, step=leave) is Outcome.DONE
    assert assessed(meshes) == [True, True, False]


def test_a_copy_that_comes_while_the_round_runs_is_not_from_the_future(report, meshes):
    make.snapshot(meshes[0], taken_at=make.NOW + MINUTE, received_at=make.NOW + 2 * MINUTE)

    work(report)

    meshes[0].refresh_from_db()
    assert meshes[0].readiness == "covered"


def test_the_number_of_an_error_is_in_the_log_with_what_happened(report, meshes, monkeypatch, caplog):
    def fail(*_):
        raise ValueError("a figure that cannot be")

    monkeypatch.setattr(assess, "judged", fail)
    work(report)

    report.refresh_from_db()
    assert all(error["id"] in caplog.text for error in report.errors)
    assert "a figure that cannot be" in caplog.text


@pytest.mark.parametrize("order", [(1, 2, 3), (3, 1, 2), (2, 3, 1)])
def test_the_order_of_chunks_and_who_does_them_change_nothing(meshes, settings, order):
    settings.ROUND_CHUNK = 1
    make.mesh(site=meshes[0].site, channel=meshes[0].channel, in_care=False)
    report = rounds.begin(make.NOW, by="test")

    for number in order:
        work(report, Holder(f"worker {number}"), number=number)

    report.refresh_from_db()
    assert (report.state, report.done) == ("done", 3)
    assert [facts_of(mesh) for mesh in meshes] == [
        ("covered", "", mesh.site.place.radios.get().pk) for mesh in meshes
    ]


def facts_of(mesh):
    mesh.refresh_from_db()
    return mesh.readiness, mesh.readiness_gate, mesh.best_spare_id


def test_the_chunk_shows_who_works_on_it(report):
    seen = []
    work(report, step=lambda: seen.append(report.chunks.get().holder))
    assert seen == ["worker@here"] * 3


def test_all_that_a_chunk_shares_is_read_once(report, django_assert_max_num_queries, monkeypatch):
    loaded = []
    real = chunk.SpareShelf.load
    monkeypatch.setattr(chunk.SpareShelf, "load", lambda: loaded.append(1) or real())

    work(report)

    assert loaded == [1]
