"""The page on the air: keep the channel or move, by how much it would be better, and what a move costs."""

import pytest
from django.urls import reverse

from fleet.models import ChannelSurvey, WifiHeard
from tests import make

pytestmark = pytest.mark.django_db

STREET = ((1, -45, 60), (6, -40, 70), (11, -55, 50))
"""Wi-Fi on 1, 6 and 11 leaves 15, 20, 25 and 26 free (trade rule C10)."""


def page(client, mesh) -> str:
    return client.get(reverse("air", args=[mesh.code])).content.decode()


def hear(mesh, *networks):
    for channel, level, busy in networks:
        make.wifi_heard(mesh, channel=channel, level_dbm=level, busy_percent=busy)


def sleeping(mesh, count):
    for _ in range(count):
        make.node(mesh, sleeps=True)


def test_a_mesh_on_a_free_channel_stays(as_owner):
    mesh = make.mesh(channel=20)
    hear(mesh, *STREET)
    html = page(as_owner, mesh)

    assert f"Leave {mesh.code} on channel 20." in html
    assert "No other channel would be better than 20." in html


def test_a_mesh_under_busy_wifi_moves_and_it_says_by_how_much_and_what_it_costs(as_owner):
    mesh = make.mesh(channel=17)
    hear(mesh, *STREET)
    sleeping(mesh, 14)
    html = page(as_owner, mesh)

    assert f"Move {mesh.code} from channel 17 to channel 15." in html
    # 0.7 * 10^((75 - 40) / 10) + 0.01 against 0.01: 53.5 dB
    assert "Channel 15 would be better by 53.5 dB." in html
    assert "14 devices sleep: a move strands some of them until each is woken by hand." in html


def test_a_small_gain_is_not_worth_a_move(as_owner):
    mesh = make.mesh(channel=17)
    hear(mesh, (6, -98, 5))
    html = page(as_owner, mesh)

    assert f"Leave {mesh.code} on channel 17." in html
    assert "a move pays from 6 dB on" in html


def test_of_two_own_meshes_on_one_channel_the_one_with_fewer_sleepers_moves(as_owner):
    east = make.mesh(channel=15)
    west = make.mesh(site=east.site, channel=15)
    sleeping(east, 3)

    assert f"Leave {east.code} on channel 15, and move {west.code} away from it." in page(as_owner, east)
    assert f"Move {west.code} from channel 15 to channel 11." in page(as_owner, west)


def test_without_a_survey_nothing_is_called_good(as_owner):
    mesh = make.mesh(channel=20)
    assert f"Nobody has listened at {mesh.code} yet" in page(as_owner, mesh)


def test_without_a_channel_nobody_can_say(as_owner):
    mesh = make.mesh(channel=None)
    assert "Nobody can say which channel is best" in page(as_owner, mesh)


def test_a_channel_that_the_radio_cannot_use_is_never_advised(as_owner):
    mesh = make.mesh(channel=17)
    model = make.radio_model(channel_mask=1 << 17 | 1 << 25)
    make.service(mesh, make.radio(model=model))
    hear(mesh, *STREET)

    assert "to channel 25." in page(as_owner, mesh)


def test_a_network_that_is_heard_is_added(as_owner):
    mesh = make.mesh()
    given = {"channel": "6", "level_dbm": "-58", "busy_percent": "30", "width": "40+"}

    answer = as_owner.post(reverse("air", args=[mesh.code]), given, follow=True)

    assert "Wi-Fi channel 6" in answer.content.decode()
    heard = WifiHeard.objects.get()
    assert (heard.survey.mesh, heard.level_dbm, heard.width) == (mesh, -58, "40+")


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [("channel", "15", "14"), ("level_dbm", "62", "0"), ("busy_percent", "101", "100")],
)
def test_a_figure_that_cannot_be_is_refused_with_what_would_be_right(as_owner, field, value, says):
    mesh = make.mesh()
    given = {"channel": "6", "level_dbm": "-58", "busy_percent": "30", "width": "20", field: value}

    html = as_owner.post(reverse("air", args=[mesh.code]), given).content.decode()

    assert f"less than or equal to {says}" in html
    assert not WifiHeard.objects.exists()


def test_hearing_nothing_is_written_down(as_owner):
    mesh = make.mesh()
    html = as_owner.post(reverse("air-nothing", args=[mesh.code]), follow=True).content.decode()

    assert "None was heard." in html
    assert ChannelSurvey.objects.get().by == "Orla Hentsch"


def test_a_network_noted_by_mistake_is_struck_out(as_owner):
    mesh = make.mesh()
    heard = make.wifi_heard(mesh)

    as_owner.post(reverse("air-strike", args=[mesh.code, heard.pk]))

    assert not WifiHeard.objects.exists()


def test_a_network_of_another_mesh_is_not_found(as_owner):
    heard = make.wifi_heard(make.mesh())
    answer = as_owner.post(reverse("air-strike", args=[make.mesh().code, heard.pk]))
    assert answer.status_code == 404


def test_a_partner_of_the_home_reads_the_advice_and_writes_nothing(as_stranger, stranger):
    mesh = make.mesh()
    stranger.sites.add(mesh.site)

    assert "Add this network" not in page(as_stranger, mesh)
    assert as_stranger.post(reverse("air", args=[mesh.code]), {}).status_code == 403


@pytest.mark.parametrize("count", [1, 9])
def test_the_page_takes_the_same_statements_whatever_was_heard(as_owner, django_assert_num_queries, count):
    mesh = make.mesh()
    make.service(mesh)
    hear(mesh, *[(1 + n, -60, 20) for n in range(count)])
    with django_assert_num_queries(9):
        page(as_owner, mesh)
