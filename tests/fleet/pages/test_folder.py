"""The folder of a home."""

import re
from datetime import UTC, datetime

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from fleet.models import DrillKind, DrillResult, RadioState
from fleet.planning.readiness import State
from fleet.planning.replacing.states import State as Replacing
from tests import make

pytestmark = pytest.mark.django_db


def page(client, home) -> str:
    return client.get(reverse("folder", args=[home.code])).content.decode()


def test_the_first_line_is_the_word_on_the_worst_mesh(as_owner):
    home = make.site()
    make.mesh(site=home, readiness=State.COVERED)
    make.mesh(site=home, readiness=State.BARE)
    assert f"{home.code} could not be brought back today." in page(as_owner, home)


def test_a_stranded_mesh_is_said_first_with_one_act_and_no_drill(as_owner):
    home = make.site(code="PLUM-4", time_zone="UTC")
    make.mesh(site=home, code="PLUM-4-B", readiness=State.BARE, readiness_act="Get a spare.")
    lost = make.mesh(site=home, code="PLUM-4-A", readiness=State.THIN, readiness_act="Hold a drill.")
    make.drill(
        lost, kind=DrillKind.LIVE, result=DrillResult.FAILED, done_at=datetime(2026, 11, 21, 9, tzinfo=UTC)
    )

    html = page(as_owner, home)

    line = strip_tags(re.search(r"<h1[^>]*>(.*?)</h1>", html, re.DOTALL).group(1))
    assert line.startswith("PLUM-4-A is stranded since 21 November")
    assert line.endswith(": no radio is known to speak to its devices.")
    assert "Give a radio a new number before it speaks, or join the devices anew." in html
    assert "Hold a drill" not in html


def test_a_home_in_which_nobody_speaks_says_so_and_leads_to_the_card(as_owner):
    mesh = make.mesh(site=make.site(code="PLUM-4"), code="PLUM-4-A", readiness=State.COVERED)
    swap = make.replacement(mesh, state=Replacing.SILENCED)

    html = page(as_owner, mesh.site)

    assert "Nobody speaks in PLUM-4-A since " in html
    assert reverse("replacement", args=[swap.uid]) in html


def test_a_best_spare_that_went_on_air_since_is_not_named(as_owner):
    mesh = make.mesh(best_spare=make.spare(code="A2-0501", state=RadioState.ON_AIR))
    told = page(as_owner, mesh.site)
    assert "A2-0501" not in told
    assert "the next round names one" in told


def test_cautions_come_before_everything_else(as_owner):
    home = make.site(warnings="Two dogs", frost_limit_c=-2, vulnerable_person=True)
    html = page(as_owner, home)
    assert html.index("Two dogs") < html.index("Whom to call")
    assert "No swap below -2 °C outside." in html
    assert "Somebody in this home needs care." in html
    assert "never two radios on air with the same address" in html


def test_the_code_can_be_read_aloud_with_its_check_character(as_owner):
    assert "KELP-7/" in page(as_owner, make.site(code="KELP-7"))


def test_a_spare_that_is_not_proven_blank_is_said_to_be(as_owner):
    home = make.site()
    make.radio(place=make.place_at(home))
    assert "not proven blank" in page(as_owner, home)


def test_a_safety_device_says_how_to_do_without_it(as_owner):
    mesh = make.mesh()
    make.node(mesh, safety_kind="lock", label="front door", by_hand="key under the third stone")
    assert "key under the third stone" in page(as_owner, mesh.site)


def test_times_stand_on_the_clock_of_the_home_with_utc_beside(as_owner):
    mesh = make.mesh(site=make.site(time_zone="Asia/Kathmandu"))
    make.snapshot(mesh, taken_at=make.NOW)  # 08:00 UTC is 13:45 there
    assert '26 Mar 2027, 13:45</time> <span class="beside">Kathmandu (08:00 UTC)' in page(as_owner, mesh.site)


def test_who_may_only_read_sees_no_form(as_stranger, stranger):
    home = make.site()
    stranger.sites.add(home)
    make.contact(home)
    html = page(as_stranger, home)
    assert "Strike out" not in html
    assert "Change the home" not in html


@pytest.mark.parametrize("meshes", [1, 3])
def test_the_folder_takes_fourteen_statements_whatever_the_home_holds(
    as_owner, django_assert_num_queries, meshes
):
    home = make.site()
    for _ in range(meshes):
        mesh = make.mesh(site=home)
        make.service(mesh)
        make.snapshot(mesh)
        make.node(mesh, safety_kind="lock")
        make.sheet(home, mesh)
        make.contact(home)
    with django_assert_num_queries(14):  # session, person, home, and the folder's eleven
        page(as_owner, home)
