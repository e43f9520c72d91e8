from dataclasses import replace
from datetime import datetime

import pytest

from reports.drawing.saying import said
from reports.facts.errors import FactsError
from reports.facts.head import Issue
from reports.facts.mesh import MeshFacts, RoleCounts, WifiCell
from reports.facts.radio import HeadRadio
from reports.facts.usual import usual_checks, usual_steps
from tests.reports import samples


def test_devices_that_do_not_add_up_to_the_node_list_are_refused():
    facts = samples.kelp_handover()
    short = replace(samples.KELP_MESH, counts=RoleCounts(routers=13, end_devices=17))
    with pytest.raises(FactsError, match="31 devices are listed, but the node lists of the meshes hold 30"):
        replace(facts, meshes=(short,))


def test_devices_are_not_counted_against_a_mesh_of_unknown_size():
    facts = replace(samples.kelp_handover(), meshes=(replace(samples.KELP_MESH, counts=None),))
    assert facts.device_count == 31


def test_kinds_come_with_the_most_frequent_first():
    assert samples.kelp_handover().count_by_kind()[:3] == (("light", 5), ("sensor", 5), ("contact", 4))


def test_devices_of_unrecorded_kind_come_last():
    facts = samples.kelp_handover()
    hall, *rest = samples.ROOMS
    nameless = replace(hall, devices=tuple(replace(device, kind=None) for device in hall.devices))
    assert replace(facts, rooms=(nameless, *rest)).count_by_kind()[-1] == (None, 4)


def test_an_issue_date_without_a_zone_is_refused():
    with pytest.raises(FactsError, match="issued_at: 2027-03-26 09:00:00 has no zone"):
        Issue("H-000012-0", 1, datetime(2027, 3, 26, 9, 0))  # noqa: DTZ001


def test_revision_nought_is_refused():
    with pytest.raises(FactsError, match="revision: 0; the first revision of a sheet is 1"):
        Issue("H-000012-0", 0, samples.ISSUED)


def test_something_as_long_as_a_key_is_no_key_mark():
    with pytest.raises(FactsError, match="32 digits; a key mark has 8"):
        MeshFacts("KELP-7-A/3", key_mark="00112233445566778899AABBCCDDEEFF")


def test_the_refusal_of_a_key_does_not_repeat_it():
    with pytest.raises(FactsError) as refusal:
        MeshFacts("KELP-7-A/3", key_mark="00112233445566778899AABBCCDDEEFF")
    assert "00112233" not in str(refusal.value)


@pytest.mark.parametrize("channel", [0, 15])
def test_a_wifi_channel_outside_1_to_14_is_refused(channel):
    with pytest.raises(FactsError, match=f"channel: {channel} is no 2.4 GHz Wi-Fi channel"):
        WifiCell(channel)


def test_the_usual_checks_are_five_in_ten_minutes():
    checks = usual_checks(samples.KELP_RADIO)
    assert (len(checks), sum(check.minutes for check in checks)) == (5, 10)


def test_the_first_check_names_the_feed_and_breaker_of_this_radio():
    assert (
        said(usual_checks(samples.KELP_RADIO)[0].look_at)
        == "Feed: white socket behind the shelf, breaker 7, hall"
    )


def test_the_first_check_of_an_unknown_radio_invents_no_breaker():
    assert said(usual_checks(HeadRadio("BENCH-0-A/J"))[0].look_at) == "Feed: its socket or feed"


def test_the_old_radio_is_silenced_before_the_new_one_is_connected():
    deeds = [said(step.do) for step in usual_steps(40)]
    silenced = next(at for at, deed in enumerate(deeds) if deed.startswith("Silence"))
    connected = next(at for at, deed in enumerate(deeds) if deed.startswith("Connect"))
    assert silenced < connected


def test_the_point_of_no_return_is_the_new_radio_going_on_air():
    assert [said(step.do).split(";")[0] for step in usual_steps(40) if step.point_of_no_return] == [
        "Connect the spare"
    ]
