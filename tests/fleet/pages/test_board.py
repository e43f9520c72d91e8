"""The board: the answer first, then the rows."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from fleet.models import DrillKind, DrillResult
from fleet.planning.readiness import State
from fleet.planning.replacing.states import State as Replacing
from fleet.planning.standing import StandingCode
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db


def page(client, **query) -> str:
    return client.get(reverse("board"), query).content.decode()


def answer(html: str) -> str:
    return re.search(r"<h1[^>]*>(.*?)</h1>", html, re.DOTALL).group(1)


def test_the_first_line_says_how_many_homes_could_not_be_brought_back(as_owner):
    for _ in range(3):
        make.mesh(readiness=State.BARE)
    make.mesh(readiness=State.COVERED)
    assert answer(page(as_owner)) == "3 homes could not be brought back today."


def test_the_first_line_says_meshes_too_where_a_home_has_several(as_owner):
    home = make.site()
    make.mesh(site=home, readiness=State.BARE)
    make.mesh(site=home, readiness=State.BARE)
    html = page(as_owner)
    assert answer(html) == "One home (2 meshes) could not be brought back today."
    assert "all meshes 2" in strip_tags(html)


def test_a_stranded_mesh_is_said_first_and_in_its_row(as_owner):
    lost = make.mesh(readiness=State.BARE, readiness_act="Hold a drill.")
    make.drill(lost, kind=DrillKind.LIVE, result=DrillResult.FAILED)
    html = page(as_owner)
    assert answer(html) == "One mesh is stranded. One home could not be brought back today."
    assert "Stranded since 25 Jan 2027" in strip_tags(html)
    assert "no copy since shows that devices answer" in html
    assert "Give a radio a new number before it speaks" in html
    assert "Hold a drill." not in html


def test_a_home_without_a_voice_is_said_first_and_leads_to_the_card(as_owner):
    mesh = make.mesh(readiness=State.COVERED, readiness_act="Hold a drill.")
    swap = make.replacement(mesh, state=Replacing.WRITTEN, number=7)
    make.silence(swap, at=make.NOW)

    html = page(as_owner)

    assert answer(html).startswith("In one mesh nobody speaks while a radio is replaced. Every home")
    assert "Nobody speaks here since 26 Mar 2027" in strip_tags(html)
    assert reverse("replacement", args=[swap.uid]) in html
    assert "Hold a drill." not in html


def test_a_replacement_in_which_a_radio_speaks_is_no_incident(as_owner):
    make.replacement(make.mesh(readiness=State.COVERED), state=Replacing.WAKING)

    assert "obody speaks" not in page(as_owner)


def test_a_shared_network_key_is_an_incident_in_the_row(as_owner):
    make.finding(make.mesh(), code=StandingCode.SHARED_KEY)
    assert "Incident: another mesh uses the same network key." in strip_tags(page(as_owner))


def test_the_first_line_says_when_every_home_could_be_brought_back(as_owner):
    make.mesh(readiness=State.COVERED)
    assert answer(page(as_owner)) == "Every home could be brought back today."


def test_a_row_says_why_and_what_helps(as_owner):
    make.mesh(
        readiness=State.BARE,
        readiness_reason="There is no spare for KELP-7-A.",
        readiness_act="Get a spare that fits.",
    )
    html = strip_tags(page(as_owner))
    assert "There is no spare for KELP-7-A." in html
    assert "Get a spare that fits." in html


def test_a_row_names_the_client_in_their_own_script_and_language(as_owner):
    client = make.client(name="ليلى حدّاد", language="ar")
    make.mesh(site=make.site(client=client))
    assert '<bdi lang="ar">ليلى حدّاد</bdi>' in page(as_owner)


def test_a_row_gives_the_minutes_with_their_range(as_owner):
    make.mesh(readiness=State.COVERED, minutes_low=30, minutes_likely=45, minutes_high=68)
    assert '<strong>45 min</strong> <span class="beside">(30 min to 68 min)</span>' in page(as_owner)


def test_safety_is_a_word(as_owner):
    make.mesh(safety_relevant=True)
    assert '<span class="safety">safety</span>' in page(as_owner)


def test_one_state_can_be_shown_alone(as_owner):
    make.mesh(code="HOME-1-A", site=make.site(code="HOME-1"), readiness=State.BARE)
    make.mesh(code="HOME-2-A", site=make.site(code="HOME-2"), readiness=State.THIN)
    html = page(as_owner, state="thin")
    assert "HOME-2-A" in html
    assert "HOME-1-A" not in html


def test_a_state_that_does_not_exist_is_not_found(as_owner):
    assert as_owner.get(reverse("board"), {"state": "fine"}).status_code == 404


def test_fifty_rows_stand_on_a_leaf(as_owner):
    for _ in range(51):
        make.mesh()
    assert page(as_owner).count('<td class="margin"') == 50
    assert page(as_owner, page=2).count('<td class="margin"') == 1


def test_a_book_whose_rounds_stopped_says_so(as_owner):
    make.mesh(readiness=State.COVERED)
    make.round_(started_at=timezone.now() - timezone.timedelta(days=2))
    assert "may be out of date" in page(as_owner)


def test_an_empty_book_leads_to_the_first_client(as_owner):
    html = page(as_owner)
    assert answer(html).startswith("The book is empty.")
    assert reverse("client-new") in html


def test_a_book_with_a_client_leads_on_to_their_home(as_owner):
    client = make.client()
    assert reverse("site-new", args=[client.uid]) in page(as_owner)


def test_a_book_with_a_home_leads_on_to_its_mesh(as_owner):
    home = make.site()
    assert reverse("mesh-new", args=[home.code]) in page(as_owner)


def test_a_partner_without_a_home_is_told_so(as_stranger):
    make.mesh()
    assert answer(page(as_stranger)) == "No home is open to you today."


def test_a_home_without_a_mesh_is_named(as_owner):
    make.mesh()
    make.site(code="PINE-1")
    assert "PINE-1" in page(as_owner)


def test_somebody_who_is_not_signed_in_is_asked_to(client):
    assert client.get(reverse("board")).headers["Location"] == f"{reverse('sign-in')}?next=/"


def test_signing_in_leads_to_the_board(client):
    make.person(username="orla", role=Role.OWNER)
    answer = client.post(reverse("sign-in"), {"username": "orla", "password": make.PASSWORD})
    assert answer.headers["Location"] == reverse("board")


@pytest.mark.parametrize("meshes", [1, 60])
def test_the_board_takes_eleven_statements_whatever_the_size_of_the_book(
    as_owner, django_assert_num_queries, meshes
):
    for _ in range(meshes):
        mesh = make.mesh(readiness=State.THIN)
        make.snapshot(mesh)
        make.drill(mesh, kind=DrillKind.LIVE, result=DrillResult.FAILED)
        make.finding(mesh, code=StandingCode.SHARED_KEY)
    make.site()
    make.round_()
    # session, person; homes and meshes by state, all homes, stranded, silent, shared keys, rows,
    # homes without a mesh, round, tray
    with django_assert_num_queries(11):
        as_owner.get(reverse("board"))


def test_the_first_leaf_weighs_at_most_60_kilobytes(as_owner):
    for _ in range(50):
        make.mesh(readiness=State.THIN, readiness_reason="x" * 120, readiness_act="y" * 80)
    assert len(as_owner.get(reverse("board")).content) <= 60_000
