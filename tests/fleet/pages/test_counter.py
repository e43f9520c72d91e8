"""The page of a mesh's frame counter."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import EvidenceKind, Grade
from tests import make
from tests.fleet.pages.words import words_of

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
A_DAY = 259_200


@pytest.fixture
def mesh():
    return make.mesh(site=make.site(code="KELP-7"))


def dailies(mesh, count: int = 10) -> None:
    """At 3 frames a second, the last of them now."""
    now = timezone.now()
    for place in range(count):
        make.evidence(mesh, 1_000_000 + place * A_DAY, at=now - DAY * (count - 1 - place), by="controller")


def page(client, mesh, **query: object) -> str:
    answer = client.get(reverse("counter", args=[mesh.code]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_first_line_gives_the_number_and_the_end(as_owner, mesh):
    dailies(mesh)
    line = r"A radio written before midnight there starts from [\d,]+; the counters last until \d{4} at the"
    assert re.search(line, page(as_owner, mesh))


def test_rate_and_range_are_said_in_words(as_owner, mesh):
    dailies(mesh)
    make.evidence(mesh, 1_000_000 - A_DAY * 2, at=timezone.now() - DAY * 10)
    said = words_of(page(as_owner, mesh))
    assert "3.00 to 6.00 frames a second (5th to 95th percentile)" in said
    assert re.search(r"All is used \d{4} to \d{4}", said)


def test_every_line_is_a_dot_and_a_row(as_owner, mesh):
    dailies(mesh)
    html = page(as_owner, mesh)
    assert html.count('<use class="dot of-snapshot"') == 10 + 1  # and the legend
    assert html.count('data-label="Value"') == 10


def test_kinds_have_shapes_of_their_own_and_words_of(as_owner, mesh):
    dailies(mesh)
    make.evidence(mesh, 9_000_000, kind=EvidenceKind.RESTORE, at=timezone.now())
    make.evidence(mesh, 9_100_000, kind=EvidenceKind.DRILL, at=timezone.now())
    make.snapshot(mesh, grade=Grade.HELD, taken_at=timezone.now())
    html = page(as_owner, mesh)
    for kind, said in (("restore", "written to a radio"), ("drill", "drill grant"), ("held", "held copy")):
        assert html.count(f'href="#dot-{kind}"') == 2
        assert said in html


def test_the_course_is_drawn_without_style_or_script(as_owner, mesh):
    dailies(mesh)
    html = page(as_owner, mesh)
    assert re.search(r'<polyline class="course" points="[\d., ]+"', html)
    assert " style=" not in html
    assert "<script" not in html


def test_a_fall_is_marked_in_the_picture_in_the_row_and_in_words(as_owner, mesh):
    dailies(mesh)
    make.evidence(mesh, 12, at=timezone.now() + timedelta(minutes=1))
    html = page(as_owner, mesh)
    assert html.count('href="#dot-break"') == 2
    assert '12 <span class="tag is-doubt">fell</span>' in html
    assert "1 break of the course" in words_of(html)


def test_a_course_without_a_break_says_so(as_owner, mesh):
    dailies(mesh)
    assert "The course has no break" in page(as_owner, mesh)


def test_a_wild_value_makes_the_scale_logarithmic_and_the_page_says_so(as_owner, mesh):
    dailies(mesh)
    make.evidence(mesh, 4_200_000_000, at=timezone.now(), kind=EvidenceKind.RESTORE)
    html = page(as_owner, mesh)
    assert "ten times the one below" in html
    assert "half of all counters" in html


def test_a_number_past_the_end_is_not_offered(as_owner, mesh):
    make.evidence(mesh, 4_294_967_000, at=timezone.now())
    said = words_of(page(as_owner, mesh))
    assert "No number can be written safely: change the network key." in said
    assert "Number none" in said


def test_a_row_leads_to_its_copy(as_owner, mesh):
    copy = make.snapshot(mesh)
    make.evidence(mesh, copy.outgoing_counter, snapshot=copy)
    assert reverse("snapshot", args=[copy.uid]) in page(as_owner, mesh)


def test_rows_stand_twenty_on_a_leaf_newest_first(as_owner, mesh):
    dailies(mesh, 25)
    first = page(as_owner, mesh)
    assert first.count('data-label="Value"') == 20
    assert f"{1_000_000 + 24 * A_DAY:,}" in first[first.index('id="ledger"') :]
    assert page(as_owner, mesh, page=2).count('data-label="Value"') == 5


def test_lines_under_earlier_keys_are_said_to_count_no_more(as_owner, mesh):
    make.evidence(mesh, 9, key_mark="FFFFFFFF")
    assert "1 line under earlier keys is kept and counts no more." in words_of(page(as_owner, mesh))


def test_a_mesh_without_a_counter_says_so(as_owner, mesh):
    html = page(as_owner, mesh)
    assert "No counter of" in html
    assert "<svg" not in html


def test_a_mesh_that_has_not_learnt_its_key_says_so(as_owner):
    bare = make.mesh(extended_pan_id=None, head_address=None, key_mark="", key_sequence=None)
    assert "No counter of" in page(as_owner, bare)


def test_a_number_with_a_doubt_says_so(as_owner, mesh):
    now = timezone.now()
    make.evidence(mesh, 2_200_000_000, at=now, landed_at=now)
    assert "There is a doubt about this number" in page(as_owner, mesh)


def test_the_mesh_page_leads_here_and_says_how_long_the_counters_last(as_owner, mesh):
    dailies(mesh)
    html = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
    assert f'href="{reverse("counter", args=[mesh.code])}"' in html
    assert re.search(r"The counters last until \d{4} at the earliest", html)


def test_a_partner_of_another_home_finds_nothing(as_stranger, mesh):
    assert as_stranger.get(reverse("counter", args=[mesh.code])).status_code == 404


@pytest.mark.parametrize("count", [1, 60])
def test_the_page_takes_the_same_statements_whatever_the_ledger_holds(
    as_owner, mesh, django_assert_num_queries, count
):
    dailies(mesh, count)
    make.snapshot(mesh, grade=Grade.HELD)
    # session, person, mesh, agreements, ledger, held copies, lines in all, lines of this key, the leaf
    with django_assert_num_queries(9):
        page(as_owner, mesh)
