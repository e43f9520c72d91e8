"""The page of a mesh, and its push tokens."""

import re
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import strip_tags

from fleet.models import DrillKind, DrillResult, Grade, Mesh, PushToken, RadioState, ReadinessChange, Resource
from fleet.planning.readiness import State
from fleet.planning.replacing.states import NOBODY_SPEAKS
from fleet.verbs.push_tokens import digest_of
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


def page(client, mesh, **query) -> str:
    return client.get(reverse("mesh", args=[mesh.code]), query).content.decode()


def test_the_first_line_says_whether_the_mesh_could_be_brought_back(as_owner):
    mesh = make.mesh(readiness=State.COVERED, minutes_likely=45)
    assert f"{mesh.code} could be brought back today, likely in 45 min." in page(as_owner, mesh)


def test_every_gate_is_shown_with_its_reason(as_owner):
    mesh = make.mesh()
    html = page(as_owner, mesh)
    assert f"There is no snapshot of {mesh.code}." in strip_tags(html)
    assert html.count('class="tag is-gate-') == 9


def test_a_change_since_the_last_round_is_said(as_owner):
    mesh = make.mesh(readiness=State.COVERED)
    assert "Since the last round this has become <strong>unknown</strong>" in page(as_owner, mesh)


def test_addresses_are_grouped_by_four(as_owner):
    mesh = make.mesh(head_address="02A4C138F00D0011")
    assert '<code class="id">02A4 C138 F00D 0011</code>' in page(as_owner, mesh)


def test_a_radio_that_carries_anothers_address_shows_both(as_owner):
    mesh = make.mesh(head_address="02A4C138F00D0011")
    unit = make.radio(carried_address="02A4C138F00D0011", factory_address="02A4C138F00D0099")
    make.service(mesh, unit)
    assert "02A4 C138 F00D 0099" in page(as_owner, mesh)


def test_headroom_is_unknown_while_a_needed_figure_is_missing(as_owner):
    assert "5 needed figures are missing" in page(as_owner, make.mesh())


def test_a_table_that_is_nearly_full_says_to_add_nothing(as_owner):
    mesh = make.mesh(table_use={"children": 46})
    unit = make.radio()
    make.limit(unit.model, Resource.CHILDREN, 50)
    make.service(mesh, unit)
    assert "Add nothing more: 8 % of children left." in page(as_owner, mesh)


def filling(readings, limit=50):
    """A mesh whose table of children held so many so many days ago."""
    now = timezone.now()
    mesh = make.mesh(table_use={"children": readings[-1][1]})
    unit = make.radio()
    make.limit(unit.model, Resource.CHILDREN, limit)
    make.service(mesh, unit)
    for days, used in readings:
        make.snapshot(mesh, taken_at=now - timedelta(days=days), table_use={"children": used})
    return mesh


def test_a_table_that_fills_up_names_the_month_in_which_it_is_full(as_owner):
    mesh = filling([(120, 40), (60, 43), (1, 46)])
    # 4 more at a little over 1.5 a month: in 79 days
    months = {date_format(timezone.now() + timedelta(days=days), "F Y") for days in (78, 79, 80)}
    html = page(as_owner, mesh)
    assert any(
        f"The ceiling of children is reached about {month}: 1.5 more a month" in html for month in months
    )


def test_a_table_that_does_not_grow_names_no_month(as_owner):
    assert "No growth was seen in the last half year." in page(as_owner, filling([(60, 20), (1, 20)]))


def test_how_fast_a_table_fills_is_not_known_from_one_copy(as_owner):
    assert "How fast it fills is not known" in page(as_owner, filling([(1, 20)]))


def test_a_mesh_says_since_when_it_stands_as_it_does(as_owner):
    mesh = make.mesh(readiness=State.THIN)
    ReadinessChange.objects.create(mesh=mesh, at=make.NOW, was=State.COVERED, became=State.THIN)
    told = " ".join(strip_tags(page(as_owner, mesh)).split())
    assert "since 26 Mar 2027, 09:00 Oslo (08:00 UTC), before that covered" in told


def test_a_state_that_no_round_noted_has_no_since(as_owner):
    mesh = make.mesh(readiness=State.BARE)
    ReadinessChange.objects.create(mesh=mesh, at=make.NOW, was=State.COVERED, became=State.THIN)
    assert "before that" not in page(as_owner, mesh)


def told_of(client, mesh) -> str:
    return " ".join(strip_tags(page(client, mesh)).split())


def test_both_ways_of_bringing_it_back_are_told_with_their_cost(as_owner):
    make.firm(currency="EUR", hourly_rate=95)
    told = told_of(as_owner, covered_mesh())
    # One battery device, spare in the home: 45.5 minutes at 95 an hour; 4 * 1.1 + 1.5 minutes to join.
    assert "72.04 EUR" in told
    assert "9.34 EUR" in told
    assert "No: joining everything anew costs no more." in told


@pytest.mark.parametrize(
    ("more_tries", "says"),
    [
        (0, "Not proven: it pays where it works in over 24.4 % of cases; 1 of 1 tries prove 5.0 %."),
        (9, "Yes: it pays where it works in over 24.4 % of cases, and 10 of 10 tries prove 74.1 %"),
    ],
    ids=["C8: 1 of 1", "C8: 10 of 10"],
)
def test_restoring_first_is_advised_where_the_pair_of_builds_is_proven(as_owner, more_tries, says):
    make.firm(currency="EUR", hourly_rate=95)
    mesh = covered_mesh()
    for _ in range(47):
        make.node(mesh)
    done = mesh.drills.get()
    for _ in range(more_tries):
        make.drill(mesh, source_release=done.source_release, target_release=done.target_release)
    assert says in told_of(as_owner, mesh)


def test_the_channel_says_whether_it_should_be_another(as_owner):
    mesh = make.mesh(channel=17)
    make.wifi_heard(mesh, channel=6, level_dbm=-40, busy_percent=70)
    assert "Move it to 11" in strip_tags(page(as_owner, mesh))


def test_devices_stand_by_room_and_named_rooms_first(as_owner):
    mesh = make.mesh()
    make.node(mesh, room="", label="stray")
    make.node(mesh, room="attic", label="fan")
    html = page(as_owner, mesh)
    assert html.index("attic") < html.index("Room not noted")


def test_the_highest_counter_under_the_key_in_use_is_shown(as_owner):
    mesh = make.mesh()
    make.evidence(mesh, 1_463_120)
    make.evidence(mesh, 900)
    make.evidence(mesh, 4_000_000_000, key_mark="FFFFFFFF")
    assert '<code class="id">1,463,120</code>' in page(as_owner, mesh)


def test_copies_stand_twenty_on_a_leaf(as_owner):
    mesh = make.mesh()
    for days in range(21):
        make.snapshot(mesh, taken_at=make.NOW - timedelta(days=days))
    assert page(as_owner, mesh).count('href="/snapshots/') == 20
    assert page(as_owner, mesh, page=2).count('href="/snapshots/') == 1


def test_a_mesh_is_entered_under_its_home(as_owner):
    home = make.site(code="KELP-7")
    as_owner.post(reverse("mesh-new", args=["KELP-7"]), {"code": "kelp-7-a", "in_care": "on"})
    assert Mesh.objects.get().site == home


def test_a_mesh_code_of_another_home_is_refused(as_owner):
    make.site(code="KELP-7")
    answer = as_owner.post(reverse("mesh-new", args=["KELP-7"]), {"code": "GULL-5-A"})
    assert "GULL-5-A is no code of KELP-7" in answer.content.decode()
    assert not Mesh.objects.exists()


def test_a_new_token_is_shown_once_and_only_its_digest_is_kept(as_owner):
    mesh = make.mesh()
    answer = as_owner.post(reverse("token-make", args=[mesh.code]), {"label": "controller"})
    text = answer.context["text"]
    assert f'value="{text}"' in answer.content.decode()
    assert bytes(PushToken.objects.get().digest) == digest_of(text)
    assert text not in page(as_owner, mesh)


def test_the_page_with_a_token_is_never_cached(as_owner):
    answer = as_owner.post(reverse("token-make", args=[make.mesh().code]), {"label": "controller"})
    assert "no-store" in answer.headers["Cache-Control"]


def test_a_token_without_a_label_is_not_made(as_owner):
    as_owner.post(reverse("token-make", args=[make.mesh().code]), {"label": ""})
    assert not PushToken.objects.exists()


def test_a_token_is_ended(as_owner):
    token = make.push_token(make.mesh())
    as_owner.post(reverse("token-end", args=[token.mesh.code, token.pk]))
    token.refresh_from_db()
    assert token.revoked_at is not None


def test_a_token_of_another_mesh_is_not_found(as_owner):
    token = make.push_token(make.mesh())
    answer = as_owner.post(reverse("token-end", args=[make.mesh().code, token.pk]))
    assert answer.status_code == 404


def test_the_ready_line_holds_the_address_but_no_token(as_owner):
    mesh = make.mesh()
    html = page(as_owner, mesh)
    assert f"http://testserver/api/v1/meshes/{mesh.code}/snapshots/" in html
    assert "Bearer $SPAREBOOK_TOKEN" in html


def _furnish(mesh, count: int) -> None:
    home = mesh.site
    make.agreement(home)
    make.keep_rule(is_default=True)
    make.service(mesh)
    make.snapshot(mesh)
    place = make.place_at(home)
    for _ in range(count):
        make.node(mesh)
        make.evidence(mesh, 1000)
        make.drill(mesh)
        make.push_token(mesh)
        make.finding(mesh)
        make.spare(place=place)


def test_the_page_begins_with_links_to_its_sections(as_owner):
    html = page(as_owner, make.mesh())
    places = re.findall(
        r'<a href="#([a-z]+)">', html.partition('aria-label="On this page"')[2].partition("</nav>")[0]
    )
    assert {"gates", "network", "radio", "counter", "headroom", "copies", "send", "devices"} <= set(places)
    assert [place for place in places if f'id="{place}"' not in html] == []


@pytest.mark.parametrize("count", [1, 12])
def test_the_page_takes_the_same_statements_whatever_the_mesh_holds(
    as_owner, django_assert_num_queries, count
):
    mesh = make.mesh(readiness=State.COVERED)
    _furnish(mesh, count)
    with django_assert_num_queries(35):
        page(as_owner, mesh)


def test_a_stranded_mesh_says_so_before_anything_else(as_owner):
    mesh = make.mesh(readiness=State.THIN)
    make.snapshot(mesh, taken_at=make.NOW - timedelta(days=9), grade=Grade.SEEN_LIVE)
    make.drill(mesh, kind=DrillKind.LIVE, result=DrillResult.FAILED, done_at=make.NOW - timedelta(days=7))

    html = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()

    line = strip_tags(re.search(r"<h1[^>]*>(.*?)</h1>", html, re.DOTALL).group(1))
    assert line.startswith(f"{mesh.code} is stranded since ")
    assert "Give a radio a new number before it speaks, or join the devices anew." in html
    assert "drill for" not in html
    assert "Stranded since" in html
    assert html.index("Stranded since") < html.index("The gates")


@pytest.mark.parametrize("state", sorted(NOBODY_SPEAKS))
def test_a_mesh_in_which_nobody_speaks_says_since_when_and_leads_to_the_card(as_owner, state):
    mesh = make.mesh(readiness=State.COVERED, site=make.site(time_zone="Europe/Oslo"))
    swap = make.replacement(mesh, state=state, number=7)
    make.silence(swap, at=timezone.now())

    html = page(as_owner, mesh)

    there = timezone.now().astimezone(ZoneInfo("Europe/Oslo"))
    assert f"Nobody speaks in {mesh.code} since {there:%H}:" in html
    assert html.count(reverse("replacement", args=[swap.uid])) == 2
    assert "could be brought back today" not in html


def test_the_best_spare_is_none_that_is_on_air_by_now(as_owner):
    mesh = covered_mesh()
    mesh.best_spare = make.spare(code="A2-0501", state=RadioState.ON_AIR)
    mesh.save()

    told = told_of(as_owner, mesh)

    assert "A2-0501" not in told
    assert re.search(r"Best spare(?! ?none)", told)


def test_a_mesh_that_was_heard_since_its_failed_swap_is_not_stranded(as_owner):
    mesh = make.mesh(readiness=State.THIN)
    make.drill(mesh, kind=DrillKind.LIVE, result=DrillResult.FAILED, done_at=make.NOW - timedelta(days=7))
    make.snapshot(mesh, taken_at=make.NOW - timedelta(days=6), grade=Grade.SEEN_LIVE)

    assert "Stranded since" not in as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
