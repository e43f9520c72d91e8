"""The order of swaps on a page: who is next and why, every term without hovering, and one tap to ask for it."""

import pytest
from django.urls import reverse

from fleet import tasks
from fleet.models import Mesh, Radio, RadioState, Replacement, SupportEnd, SwapRanking
from fleet.pages import next_swaps as page
from fleet.verbs import rank_swaps
from sites.models import Role
from tests import make
from tests.fleet.pages.words import words_of
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

LIST = "next-swaps"


@pytest.fixture
def mesh(monkeypatch) -> Mesh:
    """Covered as of NOW, which the book's clock stands at."""
    moment = type("Moment", (), {"now": make.NOW, "clock": staticmethod(lambda: make.NOW)})
    monkeypatch.setattr(page, "book_time", lambda: moment)
    make.firm()
    return covered_mesh()


def shown(client, **query) -> str:
    return words_of(client.get(reverse(LIST), query).content.decode())


def worked_out(client) -> str:
    return words_of(client.post(reverse("next-swaps-anew"), follow=True).content.decode())


def test_before_anybody_asked_the_page_says_so(as_owner, mesh):
    assert "Which radio should be swapped next? Nobody has worked out the order yet." in shown(as_owner)


def test_the_first_line_says_which_is_next_and_why(as_owner, mesh):
    Mesh.objects.update(safety_relevant=True)
    told = worked_out(as_owner)
    assert f"Next is the radio of {mesh.code}: " in told
    assert "hours averted for each hour of the visit; most of it: locks, heating, alarms." in told


def test_every_term_is_there_with_its_figures_and_where_they_come_from(as_owner, mesh):
    Mesh.objects.update(safety_relevant=True)
    told = worked_out(as_owner)
    # One battery device: (4.15 + 4 * 5.9 + 13) / 6 = 6.79 min.
    # 0 in 1.0951 radio-years: at most 2.7355 a year; 1 - exp(-2.7355) = 93.5 %. 40 h * 0.93514 = 37.41 h.
    assert "Fails in 12 months 93.5 % family P: 0 failed in 1.1 radio-years" in told
    assert "Hours without the network 0.03 h : 0.1 h × 0.25 × 93.5 %" in told
    assert "Joining by hand 0.11 h : 100 % of 0.11 h × 93.5 % 1 device, minutes by its class" in told
    assert "Locks, heating, alarms 37.41 h : 40.00 h × 93.5 % devices on record" in told
    assert "Nothing can be added 0.00 h : devices may be added" in told
    assert "End of support 2.00 h : not known, so the worst counts: 2.00 h" in told
    assert "at the home" in told
    assert "EUR" in told


def test_the_terms_open_without_hovering(as_owner, mesh):
    worked_out(as_owner)
    assert (
        f"<details><summary>The terms of {mesh.code}</summary>"
        in as_owner.get(reverse(LIST)).content.decode()
    )


def test_a_bare_home_wants_a_snapshot_and_no_button_says_otherwise(as_owner, mesh):
    mesh.snapshots.all().delete()
    told = worked_out(as_owner)
    assert f"Next is {mesh.code}, and a snapshot comes before any radio: " in told
    assert f"take a snapshot first Take a snapshot at {mesh.code} and send it in." in told
    assert "a snapshot comes first" in told
    assert "Ask for it" not in told
    told = words_of(as_owner.post(reverse("next-swaps-ask", args=[mesh.code]), follow=True).content.decode())
    assert "a snapshot comes first; a new radio would mean joining everything by hand" in told
    assert not Replacement.objects.exists()


def test_a_home_without_a_spare_says_that_a_radio_comes_first(as_owner, mesh):
    Radio.objects.filter(state=RadioState.SHELVED).delete()
    assert "once there is a radio that fits" in worked_out(as_owner)


def test_one_tap_asks_for_the_replacement_with_the_place_as_its_reason(as_owner, mesh):
    worked_out(as_owner)
    answer = as_owner.post(reverse("next-swaps-ask", args=[mesh.code]))
    swap = Replacement.objects.get()
    assert answer.url == reverse("replacement", args=[swap.uid])
    assert (swap.mesh, swap.why, swap.asked_by) == (mesh, "precaution", "Orla Hentsch")
    assert swap.asked_because.startswith("Order of swaps: ")
    told = shown(as_owner)
    assert "asked" in told
    assert "Ask for it" not in told


def test_asking_twice_says_what_is_under_way(as_owner, mesh):
    worked_out(as_owner)
    as_owner.post(reverse("next-swaps-ask", args=[mesh.code]))
    answer = as_owner.post(reverse("next-swaps-ask", args=[mesh.code]), follow=True)
    assert "a replacement is asked already" in words_of(answer.content.decode())
    assert Replacement.objects.count() == 1


def test_a_mesh_without_a_place_is_not_asked_for(as_owner, mesh):
    answer = as_owner.post(reverse("next-swaps-ask", args=[mesh.code]), follow=True)
    assert "has no place in the order" in words_of(answer.content.decode())
    assert not Replacement.objects.exists()


def test_a_large_book_is_worked_through_by_a_job_and_the_page_shows_how_far(as_owner, mesh, monkeypatch):
    handed = []
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks.go_on_ranking, "delay", handed.append)
    answer = as_owner.post(reverse("next-swaps-anew"), follow=True)
    row = SwapRanking.objects.get()
    assert handed == [row.pk]
    assert "0 of 1 meshes" in words_of(answer.content.decode())
    assert answer.headers["Refresh"] == "5"
    assert "Refresh" not in as_owner.get(reverse(LIST), {"still": 1}).headers
    assert tasks.go_on_ranking.apply(args=[row.pk]).get() == "done"
    done = as_owner.get(reverse(LIST))
    assert mesh.code in words_of(done.content.decode())
    assert "Refresh" not in done.headers


def test_a_queue_that_is_away_is_said_and_loses_nothing(as_owner, mesh, monkeypatch):
    monkeypatch.setattr(page, "AT_ONCE", 0)
    monkeypatch.setattr(tasks, "hand_out_ranking", lambda number: False)
    assert "The queue does not answer." in worked_out(as_owner)
    assert SwapRanking.objects.get().finished_at is None


def test_meshes_that_could_not_be_weighed_are_shown(as_owner, mesh):
    Mesh.objects.update(security_mode="centrall")
    assert f"{mesh.code} ValueError" in worked_out(as_owner)


def test_long_lists_have_leaves_and_as_many_statements(
    as_owner, mesh, monkeypatch, django_assert_num_queries
):
    monkeypatch.setattr("fleet.queries.rankings.ROWS_A_PAGE", 2)
    monkeypatch.setattr("fleet.queries.rankings.order_of.__defaults__", (2,))
    worked_out(as_owner)
    with django_assert_num_queries(11):  # session, person, and nine of the page
        as_owner.get(reverse(LIST))
    for _ in range(4):
        covered_mesh()
    worked_out(as_owner)
    with django_assert_num_queries(11):
        first = as_owner.get(reverse(LIST))
    assert "Leaf 1 of 3, 5 rows" in words_of(first.content.decode())
    assert shown(as_owner, page=3).count("The terms of") == 1


def test_support_is_written_down_and_counts_next_time(as_owner, mesh):
    model = mesh.periods.get().radio.model
    given = {"model": model.pk, "last_day": "2029-01-31", "said_by": "the maker"}
    as_owner.post(reverse("next-swaps-support"), given)
    assert SupportEnd.objects.get().model == model
    assert "End of support 0.00 h : in support" in worked_out(as_owner)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"last_day": "31/01/2029"}, "That is no day; write one such as 2028-05-31."),
        ({"said_by": "0123456789abcdef0123456789abcdef"}, "this looks like a code or a key"),
    ],
)
def test_support_that_cannot_be_is_named(as_owner, mesh, given, told):
    model = mesh.periods.get().radio.model
    answer = as_owner.post(
        reverse("next-swaps-support"),
        {"model": model.pk, "last_day": "2029-01-31", "said_by": "the maker", **given},
    )
    assert answer.status_code == 422
    assert told in words_of(answer.content.decode())
    assert not SupportEnd.objects.exists()


def test_an_order_from_before_the_last_round_is_said_to_be_old(as_owner, mesh):
    row = rank_swaps.ask("Orla", make.NOW)
    rank_swaps.go_on(row.pk, lambda: make.NOW)
    assert "The book was judged since" not in shown(as_owner)
    make.round_(started_at=make.NOW.replace(hour=9))
    assert "The book was judged since" in shown(as_owner)


@pytest.mark.parametrize(("role", "status"), [(Role.TECHNICIAN, 200), (Role.SUBCONTRACTOR, 404)])
def test_the_order_is_for_people_of_the_firm(client, mesh, role, status):
    ends = {"access_ends_on": "2999-01-01"} if role == Role.SUBCONTRACTOR else {}
    client.force_login(make.person(role=role, **ends))
    assert client.get(reverse(LIST)).status_code == status
