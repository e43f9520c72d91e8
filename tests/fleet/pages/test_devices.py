"""The devices of a mesh, and the page of one."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from fleet.models import JournalEntry, Mesh, Node
from fleet.verbs.install_codes import enter
from tests import codes, make

pytestmark = pytest.mark.django_db


def heard(mesh: Mesh, node: Node, before_copy: timedelta, copy_age: timedelta = timedelta(hours=2)) -> Node:
    """The mesh has a sound copy of that age, which heard the node so long before."""
    taken_at = timezone.now() - copy_age
    make.snapshot(mesh, taken_at=taken_at)
    mesh.roll = {**mesh.roll, node.extended_address: (taken_at - before_copy).isoformat()}
    mesh.save(update_fields=["roll"])
    return node


def page(client, node: Node) -> str:
    return client.get(reverse("device", args=[node.mesh.code, node.extended_address])).content.decode()


def listed(client, mesh: Mesh) -> str:
    return client.get(reverse("devices", args=[mesh.code])).content.decode()


def first_line(html: str) -> str:
    return strip_tags(html[html.index("<h1") : html.index("</h1>")])


def test_the_first_line_says_what_it_is_and_that_it_was_heard(as_owner):
    mesh = make.mesh()
    node = heard(mesh, make.node(mesh, label="Hems", kind="smoke alarm"), timedelta(minutes=5))

    assert "Hems (smoke alarm) was heard in time, says the copy of 2 hours ago." in first_line(
        page(as_owner, node)
    )


def test_a_device_that_is_silent_for_too_long_says_for_how_long(as_owner):
    mesh = make.mesh()
    node = make.node(mesh, label="Hems", kind="smoke alarm", longest_silence_seconds=86_400)
    heard(mesh, node, timedelta(days=3))

    assert "Hems (smoke alarm) had been silent for 3 days" in first_line(page(as_owner, node))


def test_a_stale_copy_says_nothing_of_who_is_heard_today(as_owner):
    mesh = make.mesh()
    make.agreement(mesh.site, recovery_point_hours=48)
    node = heard(mesh, make.node(mesh, label="Hems"), timedelta(minutes=5), copy_age=timedelta(days=9))

    assert "Nobody knows whether Hems (end device) is heard" in first_line(page(as_owner, node))
    assert "the newest sound copy is 9 days old" in listed(as_owner, mesh)


def test_without_a_copy_nobody_knows(as_owner):
    assert "there is no sound copy of its mesh" in first_line(page(as_owner, make.node(make.mesh())))


def test_a_device_that_no_copy_lists_any_more_says_so(as_owner):
    node = make.node(make.mesh(), gone_since=make.NOW)

    assert "is no longer listed by its mesh" in first_line(page(as_owner, node))


def test_what_a_label_says_already_is_not_said_twice(as_owner):
    node = make.node(make.mesh(), label="Smoke alarm, loft", kind="smoke alarm")

    assert "whether Smoke alarm, loft is heard" in first_line(page(as_owner, node))


def test_a_device_is_found_by_its_address_in_any_notation(as_owner):
    node = make.node(make.mesh(), extended_address="02A4C138F00D0011")

    for typed in ("02a4c138f00d0011", "02-A4-C1-38-F0-0D-00-11"):
        assert as_owner.get(reverse("device", args=[node.mesh.code, typed])).status_code == 200


@pytest.mark.parametrize("typed", ["02A4C138F00D0012", "nonsense", "0" * 16, "A" * 500])
def test_an_address_that_no_device_has_is_not_found(as_owner, typed):
    mesh = make.mesh()
    make.node(mesh, extended_address="02A4C138F00D0011")

    assert as_owner.get(reverse("device", args=[mesh.code, typed])).status_code == 404


def test_a_device_of_another_mesh_is_not_found_here(as_owner):
    node = make.node(make.mesh())

    assert as_owner.get(reverse("device", args=[make.mesh().code, node.extended_address])).status_code == 404


def test_the_parent_is_named_with_its_page(as_owner):
    mesh = make.mesh()
    router = make.node(mesh, label="hall lamp")
    child = make.node(mesh, parent_address=router.extended_address)

    assert f'href="{reverse("device", args=[mesh.code, router.extended_address])}"' in page(as_owner, child)


def test_the_head_radio_as_parent_is_called_so(as_owner):
    mesh = make.mesh()

    assert "<dd>the head radio</dd>" in page(as_owner, make.node(mesh, parent_address=mesh.head_address))


def test_a_device_that_guards_somebody_carries_a_caution(as_owner):
    html = page(as_owner, make.node(make.mesh(), safety_kind="lock"))

    assert "Agree with them how to do without it" in html


def test_what_people_know_is_written_down_and_their_words_stay_out_of_the_journal(as_owner, owner):
    node = make.node(make.mesh())
    known = {
        "label": "Oma's bell",
        "room": "bedroom",
        "kind": "call button",
        "safety_kind": "call",
        "by_hand": "Telephone beside the bed",
        "wake": "Press it once",
        "battery": "CR2032 x 1",
        "tested_by_hand_on": "2026-03-01",
    }

    as_owner.post(reverse("device-change", args=[node.mesh.code, node.extended_address]), known)

    node.refresh_from_db()
    assert {name: str(getattr(node, name)) for name in known} == known
    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.subject) == (str(owner), "device changed", node.mesh.code)
    assert line.details == {"device": node.extended_address, "fields": sorted(known)}


def test_a_form_sent_as_it_was_changes_nothing(as_owner):
    node = make.node(make.mesh())
    same = {"label": node.label, "room": node.room}

    as_owner.post(reverse("device-change", args=[node.mesh.code, node.extended_address]), same)

    assert not JournalEntry.objects.exists()


def test_a_test_by_hand_cannot_lie_ahead(as_owner):
    node = make.node(make.mesh())
    url = reverse("device-change", args=[node.mesh.code, node.extended_address])

    answer = as_owner.post(url, {"tested_by_hand_on": "2999-01-01"})

    assert "2999-01-01 is still to come" in answer.content.decode()
    node.refresh_from_db()
    assert node.tested_by_hand_on is None


def test_a_device_lies_in_its_room_and_those_that_guard_come_first(as_owner):
    mesh = make.mesh()
    make.node(mesh, room="attic", label="a fan")
    make.node(mesh, room="attic", label="the alarm", safety_kind="smoke")
    make.node(mesh, room="", label="stray")

    html = listed(as_owner, mesh)

    assert html.index("attic") < html.index("the alarm") < html.index("a fan") < html.index("stray")


def test_the_list_says_how_many_guard_and_how_many_were_silent(as_owner):
    mesh = make.mesh()
    node = make.node(mesh, safety_kind="lock", longest_silence_seconds=3600)
    make.node(mesh)
    heard(mesh, node, timedelta(days=2))

    html = listed(as_owner, mesh)

    assert f"{mesh.code} has 2 devices; 1 guards people or the house." in strip_tags(html)
    assert "1 had been silent for too long" in html


def test_the_list_says_whose_install_code_is_held_and_whose_is_missing(as_owner):
    mesh = make.mesh()
    enter(make.node(mesh), codes.printed(), "Noor", make.NOW)
    make.node(mesh, link_key_kind="install_code")
    make.node(mesh, link_key_kind="unique")

    html = listed(as_owner, mesh)

    assert html.count('data-label="Install code">held') == 1
    assert html.count("<strong>missing</strong>") == 1


def test_devices_that_left_stand_apart(as_owner):
    mesh = make.mesh()
    make.node(mesh, label="old pump", gone_since=make.NOW)

    html = listed(as_owner, mesh)

    assert "1 device no longer listed" in html
    assert html.index("no longer listed") < html.index("old pump")


def test_mesh_and_folder_lead_to_the_device(as_owner):
    node = make.node(make.mesh(), safety_kind="lock")
    there = f'href="{reverse("device", args=[node.mesh.code, node.extended_address])}"'

    for name, code in (
        ("mesh", node.mesh.code),
        ("folder", node.mesh.site.code),
        ("devices", node.mesh.code),
    ):
        assert there in as_owner.get(reverse(name, args=[code])).content.decode()


@pytest.mark.parametrize("count", [1, 12])
def test_the_list_takes_the_same_statements_whatever_it_holds(as_owner, django_assert_num_queries, count):
    mesh = make.mesh(keep_rule=make.keep_rule())
    make.snapshot(mesh)
    for place in range(count):
        enter(make.node(mesh), codes.printed(str(place)), "Noor", make.NOW)

    with django_assert_num_queries(5):
        listed(as_owner, mesh)


@pytest.mark.parametrize("count", [1, 12])
def test_the_page_takes_the_same_statements_whatever_is_there(as_owner, django_assert_num_queries, count):
    mesh = make.mesh(keep_rule=make.keep_rule())
    make.snapshot(mesh)
    nodes = [make.node(mesh, parent_address=mesh.head_address) for _ in range(count)]
    for node in nodes:
        enter(node, codes.printed(), "Noor", make.NOW)

    with django_assert_num_queries(8):
        page(as_owner, nodes[0])


def test_today_is_the_day_at_the_home(as_owner):
    node = make.node(make.mesh(site=make.site(time_zone="Pacific/Kiritimati")))
    today = timezone.localdate(timezone=ZoneInfo(node.mesh.site.time_zone)).isoformat()

    as_owner.post(
        reverse("device-change", args=[node.mesh.code, node.extended_address]), {"tested_by_hand_on": today}
    )

    node.refresh_from_db()
    assert node.tested_by_hand_on.isoformat() == today
