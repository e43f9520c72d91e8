"""The rounds: how far one is, what one changed, starting and stopping one."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from kombu.exceptions import OperationalError as QueueDown

from fleet import tasks
from fleet.models import ReadinessChange, Round, RoundChunk, RoundState
from fleet.planning.readiness import State
from tests import make

pytestmark = pytest.mark.django_db

MINUTE = timedelta(minutes=1)


@pytest.fixture
def handed_out(monkeypatch) -> list[tuple[int, int]]:
    """What was put on the queue, instead of a queue."""
    found: list[tuple[int, int]] = []
    monkeypatch.setattr(tasks.run_chunk, "delay", lambda *given: found.append(given))
    return found


@pytest.fixture
def at_work() -> Round:
    """A round of 300 meshes, 100 of them done in 50 seconds, and a worker at the second chunk."""
    now = timezone.now()
    began = now - timedelta(seconds=50)
    report = make.round_(
        state=RoundState.RUNNING, started_at=began, last_sign_at=began, finished_at=None, total=300, done=0
    )
    for number in (1, 2, 3):
        RoundChunk.objects.create(round=report, number=number, after_mesh=0, last_mesh=0, size=100)
    report.chunks.filter(number=1).update(done=60, finished_at=now, sign_at=now)
    report.chunks.filter(number=2).update(done=40, token="x", holder="worker@north", sign_at=now)
    return report


def get(client, name: str, *args, **query):
    return client.get(reverse(name, args=args), query)


def page(client, name: str, *args, **query) -> str:
    return get(client, name, *args, **query).content.decode()


def test_the_last_round_is_the_first_line(as_owner):
    make.round_(total=12, done=12)
    assert "The last round went through 12 meshes without an error." in page(as_owner, "rounds")


def test_a_round_that_broke_off_says_how_far_it_came(as_owner):
    make.round_(state=RoundState.BROKEN, total=12, done=4)
    assert "The last round broke off after 4 of 12 meshes." in page(as_owner, "rounds")


def test_the_round_under_way_is_the_first_line_even_where_a_clock_went_back(as_owner, at_work):
    make.round_(started_at=timezone.now() + timedelta(hours=2))
    assert "A round is under way: 100 of 300 meshes." in page(as_owner, "rounds")


@pytest.mark.parametrize("name", ["rounds", "round"])
def test_a_round_at_work_shows_done_left_pace_end_and_who_works_on_what(as_owner, at_work, name):
    html = page(as_owner, name, *([at_work.pk] if name == "round" else []))

    assert '<progress class="progress" value="100" max="300"' in html
    assert "100 of 300 meshes" in html
    assert "<dd>200</dd>" in html
    assert "2.0 meshes a second" in html
    assert "chunk 2, 40 of 100" in html
    assert "worker@north" in html


def test_a_page_of_a_round_at_work_renews_itself_until_it_is_held_still(as_owner, at_work):
    assert get(as_owner, "round", at_work.pk).headers["Refresh"] == "10"

    held = get(as_owner, "round", at_work.pk, still=1)

    assert "Refresh" not in held.headers
    assert "Let it renew itself" in held.content.decode()


def test_a_page_of_a_round_that_is_over_does_not_renew_itself(as_owner):
    assert "Refresh" not in get(as_owner, "round", make.round_().pk).headers


def test_a_round_without_a_sign_asks_whether_a_worker_runs(as_owner, at_work):
    long_ago = timezone.now() - 5 * MINUTE
    at_work.chunks.update(sign_at=None, token="")
    Round.objects.update(last_sign_at=long_ago)

    assert "Is a worker running?" in page(as_owner, "round", at_work.pk)


def test_a_round_names_what_changed_from_what_to_what_and_why(as_owner):
    report = make.round_()
    mesh = make.mesh()
    ReadinessChange.objects.create(
        mesh=mesh,
        round=report,
        at=make.NOW,
        was=State.COVERED,
        became=State.THIN,
        reason="The copy is 8 days old.",
    )
    html = page(as_owner, "round", report.pk)

    assert "This round found one mesh in another state." in html
    assert reverse("mesh", args=[mesh.code]) in html
    assert html.index("covered") < html.index("thin")
    assert "The copy is 8 days old." in html


def test_a_first_round_judges_and_changes_nothing(as_owner):
    report = make.round_()
    for _ in range(2):
        ReadinessChange.objects.create(mesh=make.mesh(), round=report, at=make.NOW, became=State.BARE)

    assert "This round judged 2 meshes for the first time." in page(as_owner, "round", report.pk)
    listed = page(as_owner, "rounds")
    assert (
        '<td class="figure" data-label="Changed state">0 <span class="beside">2 judged first</span></td>'
        in listed
    )


def test_a_round_that_changed_nothing_says_so(as_owner):
    assert "This round found every mesh as it was." in page(as_owner, "round", make.round_().pk)


def test_an_error_names_its_mesh_its_kind_and_its_number_in_the_log(as_owner):
    report = make.round_(errors=[{"mesh": "KELP-7-A", "error": "SealError", "id": "0badcafe"}])
    html = page(as_owner, "round", report.pk)

    assert reverse("mesh", args=["KELP-7-A"]) in html
    assert "SealError" in html
    assert "0badcafe" in html


def test_a_round_that_may_not_erase_says_why(as_owner):
    report = make.round_(notice="The clock has gone back by 2 hours or more since the last round.")
    assert "The clock has gone back by 2 hours" in page(as_owner, "round", report.pk)


def test_starting_a_round_writes_it_down_and_hands_its_chunks_out(as_owner, handed_out):
    make.mesh()

    answer = as_owner.post(reverse("round-start"), follow=True)

    report = Round.objects.get()
    assert (report.state, report.asked_by) == (RoundState.RUNNING, "Orla Hentsch")
    assert handed_out == [(report.pk, 1)]
    assert answer.redirect_chain[-1][0] == reverse("round", args=[report.pk])
    assert "A round has begun." in answer.content.decode()


def test_a_queue_that_is_away_costs_time_only_and_the_page_says_so(as_owner, monkeypatch):
    def away(*_):
        raise QueueDown("connection refused")

    make.mesh()
    monkeypatch.setattr(tasks.run_chunk, "delay", away)

    html = as_owner.post(reverse("round-start"), follow=True).content.decode()

    assert "The queue does not answer." in html
    assert Round.objects.get().state == RoundState.RUNNING


def test_a_second_round_is_refused_in_words_while_one_runs(as_owner, at_work):
    html = as_owner.post(reverse("round-start"), follow=True).content.decode()

    assert "A round is already running since" in html
    assert Round.objects.count() == 1


def test_the_button_is_not_there_while_a_round_runs(as_owner, at_work):
    assert "Start a round now" not in page(as_owner, "rounds")


def test_stopping_a_round_breaks_it_off(as_owner, at_work):
    as_owner.post(reverse("round-stop", args=[at_work.pk]))

    at_work.refresh_from_db()
    assert (at_work.state, at_work.done) == (RoundState.BROKEN, 100)


def test_a_round_is_started_by_posting_only(as_owner):
    assert get(as_owner, "round-start").status_code == 405


def test_a_partner_sees_starts_and_stops_no_round(as_stranger, at_work):
    assert get(as_stranger, "rounds").status_code == 404
    assert get(as_stranger, "round", at_work.pk).status_code == 404
    assert as_stranger.post(reverse("round-start")).status_code == 404
    assert as_stranger.post(reverse("round-stop", args=[at_work.pk])).status_code == 404
    at_work.refresh_from_db()
    assert at_work.state == RoundState.RUNNING


@pytest.mark.parametrize("rounds", [1, 20])
def test_the_rounds_take_a_fixed_number_of_statements(as_owner, django_assert_num_queries, rounds):
    for _ in range(rounds):
        make.round_()
    with django_assert_num_queries(6):  # session, person, running, last, count, rounds
        page(as_owner, "rounds")
