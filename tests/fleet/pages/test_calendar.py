"""The calendar of a mesh's copies."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Currency, Grade
from tests import make
from tests.fleet.pages.words import words_of

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def now():
    """The first second of today at a home in UTC: a day back is the day before, and five hours on is still that day."""
    return timezone.now().replace(hour=0, minute=0, second=1)


@pytest.fixture
def mesh():
    return make.mesh(site=make.site(code="GULL-5", time_zone="UTC"))


def page(client, mesh) -> str:
    answer = client.get(reverse("calendar", args=[mesh.code]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_first_line_names_the_gap_in_words(as_owner, mesh, now):
    make.snapshot(mesh, taken_at=now - 71 * DAY, currency=Currency.STALE)
    html = page(as_owner, mesh)
    assert ": the longest gap.</h1>" in html
    assert "<strong>Open</strong> since" in html


def test_a_day_leads_to_its_newest_copy(as_owner, mesh, now):
    make.snapshot(mesh, taken_at=now - DAY)
    newest = make.snapshot(mesh, taken_at=now - DAY + timedelta(hours=5))
    html = page(as_owner, mesh)
    assert html.count('href="/snapshots/') == 1
    assert reverse("snapshot", args=[newest.uid]) in html


def test_each_day_says_its_state_in_words(as_owner, mesh, now):
    make.snapshot(mesh, taken_at=now)
    make.snapshot(mesh, taken_at=now - 2 * DAY, grade=Grade.HELD)
    make.snapshot(mesh, taken_at=now - 2 * DAY)
    html = page(as_owner, mesh)
    today, before = now.date(), (now - 2 * DAY).date()
    assert f"{today.day} {today:%B}: sound and fresh" in words_of(html)
    assert f"{before.day} {before:%B}: sound and fresh, 2 copies" in words_of(html)
    assert f"{(now - DAY).date().day} : no copy" in words_of(html)


def test_the_legend_counts_days(as_owner, mesh, now):
    for days in (0, 1, 2):
        make.snapshot(mesh, taken_at=now - days * DAY)
    make.snapshot(mesh, taken_at=now - 5 * DAY, grade=Grade.HELD)
    said = words_of(page(as_owner, mesh))
    assert "3 sound and fresh" in said
    assert "1 held" in said
    assert "2 no copy" in said


def test_a_year_of_dailies_can_be_left_by_the_keyboard_month_by_month(as_owner, mesh, now):
    for days in range(390):
        make.snapshot(mesh, taken_at=now - days * DAY, currency=Currency.STALE)
    html = page(as_owner, mesh)
    first = html.index('<table class="month">')
    assert html[:first].count('href="#m') == html.count('<table class="month">') == 13
    assert html[html.index("<main") : first].count("<a ") < 20


def test_the_page_of_a_copy_leads_to_its_month(as_owner, mesh, now):
    copy = make.snapshot(mesh, taken_at=now)
    html = as_owner.get(reverse("snapshot", args=[copy.uid])).content.decode()
    assert f'href="{reverse("calendar", args=[mesh.code])}#m{now:%Y-%m}"' in html
    assert f'id="m{now:%Y-%m}"' in page(as_owner, mesh)


def test_a_copy_dated_after_today_is_said(as_owner, mesh, now):
    make.snapshot(mesh, taken_at=now)
    make.snapshot(mesh, taken_at=now + 30 * DAY)
    assert "1 copy is dated after today: the clock that took it runs wrong." in words_of(page(as_owner, mesh))


def test_a_mesh_without_copies_says_so(as_owner, mesh):
    html = page(as_owner, mesh)
    assert "No copy of" in html
    assert "<table" not in html


def test_a_mesh_with_one_copy_has_one_day(as_owner, mesh, now):
    make.snapshot(mesh, taken_at=now)
    html = page(as_owner, mesh)
    assert html.count('class="day is-day-') == 2  # the day, and the legend
    assert "The last sound copy is of today; no gap since" in html


def test_a_partner_of_another_home_finds_nothing(as_stranger, mesh):
    assert as_stranger.get(reverse("calendar", args=[mesh.code])).status_code == 404


@pytest.mark.parametrize("count", [1, 60])
def test_the_page_takes_the_same_statements_whatever_the_mesh_holds(
    as_owner, mesh, now, django_assert_num_queries, count
):
    for days in range(count):
        make.snapshot(mesh, taken_at=now - days * DAY)
    with django_assert_num_queries(6):  # session, person, mesh, agreements, copies, the one before
        page(as_owner, mesh)
