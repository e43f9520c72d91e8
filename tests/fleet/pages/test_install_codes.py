"""Install codes on the page of a device: typed, refused, shown for a reason, forgotten."""

import logging

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from fleet.models import InstallCode, JournalEntry, Node
from fleet.verbs.install_codes import enter
from sites.models import Role
from tests import codes, make

pytestmark = pytest.mark.django_db

WRONG = codes.printed()[:-1] + ("7" if codes.printed()[-1] != "7" else "9")


@pytest.fixture
def node() -> Node:
    return make.node(make.mesh(site=make.site(code="KELP-7")), label="Hems")


@pytest.fixture
def held(node) -> Node:
    enter(node, codes.printed(), "Noor", make.NOW)
    return node


def send(client: Client, name: str, node: Node, **typed: str):
    return client.post(reverse(name, args=[node.mesh.code, node.extended_address]), typed)


def page(client: Client, node: Node) -> str:
    return client.get(reverse("device", args=[node.mesh.code, node.extended_address])).content.decode()


def test_a_code_is_sealed_and_the_page_says_by_whom(as_owner, owner, node):
    answer = send(as_owner, "code-enter", node, code=codes.printed().lower())

    assert answer.url == reverse("device", args=[node.mesh.code, node.extended_address])
    html = page(as_owner, node)
    assert "fits its check digits and is sealed" in html
    assert f"Entered by <bdi>{owner}</bdi>" in html


def test_a_wrong_code_is_refused_beside_its_field_with_the_group(as_owner, node):
    html = send(as_owner, "code-enter", node, code=WRONG).content.decode()

    assert 'id="id_code_error"' in html
    assert "it is in group 9 of 9" in html
    assert not InstallCode.objects.exists()


def test_a_refused_code_is_shown_in_the_groups_that_the_message_counts(as_owner, node):
    html = send(as_owner, "code-enter", node, code=WRONG.replace(" ", "-").lower()).content.decode()

    assert WRONG in html


def test_a_refused_code_is_in_that_answer_only(as_owner, node):
    answer = send(as_owner, "code-enter", node, code=WRONG)

    assert "no-store" in answer.headers["Cache-Control"]
    assert list(get_messages(answer.wsgi_request)) == []
    assert WRONG not in page(as_owner, node)


def test_a_refused_code_leaves_the_one_that_is_held(as_owner, held):
    send(as_owner, "code-enter", held, code=WRONG)

    assert InstallCode.objects.get().entered_by == "Noor"


def test_an_empty_field_is_said(as_owner, node):
    assert 'id="id_code_error"' in send(as_owner, "code-enter", node, code=" ").content.decode()


def test_the_field_is_left_alone_by_browsers_that_remember_and_correct(as_owner, node):
    html = page(as_owner, node)
    field = html[html.index("<textarea") : html.index("</textarea>")]

    for attribute in ('autocomplete="off"', 'spellcheck="false"', 'autocorrect="off"', 'inputmode="text"'):
        assert attribute in field


def test_the_page_of_a_device_never_holds_its_code(as_owner, held):
    assert codes.found_in(page(as_owner, held)) == []


def test_the_code_and_its_key_are_shown_for_a_reason(as_owner, owner, held):
    answer = send(as_owner, "code-show", held, **{"show-reason": "the alarm was reset"})

    shown = strip_tags(answer.content.decode())
    for groups in (codes.printed(), codes.key_printed()):
        assert groups in " ".join(shown.split())
    line = JournalEntry.objects.get(what="install code shown")
    assert (line.who, line.details["reason"]) == (str(owner), "the alarm was reset")


def test_what_is_shown_is_never_kept_nor_reached_by_a_link(as_owner, held):
    answer = send(as_owner, "code-show", held, **{"show-reason": "the alarm was reset"})

    assert answer.status_code == 200  # the answer itself, no redirect that would carry it
    assert "no-store" in answer.headers["Cache-Control"]
    assert as_owner.get(answer.request["PATH_INFO"]).status_code == 405


def test_nothing_is_shown_without_a_reason(as_owner, held):
    answer = send(as_owner, "code-show", held, **{"show-reason": " "})

    assert 'id="id_show-reason_error"' in answer.content.decode()
    assert codes.found_in(answer.content) == []
    assert not JournalEntry.objects.filter(what="install code shown").exists()


def test_a_code_typed_as_the_reason_is_refused(as_owner, held):
    answer = send(as_owner, "code-forget", held, **{"forget-reason": codes.printed("two")})

    assert "write words only" in answer.content.decode()
    assert InstallCode.objects.exists()


def test_a_code_that_does_not_open_says_why(as_owner, held):
    InstallCode.objects.update(sealed=bytes(64))

    html = send(as_owner, "code-show", held, **{"show-reason": "the alarm was reset"}).content.decode()

    assert "The install code does not open" in html


def test_a_code_is_forgotten_for_a_reason(as_owner, held):
    send(as_owner, "code-forget", held, **{"forget-reason": "entered for the wrong device"})

    assert not InstallCode.objects.exists()
    assert "Not held." in strip_tags(page(as_owner, held))


def test_one_code_on_two_devices_is_said_on_both_pages(as_owner, held):
    other = make.node(make.mesh(site=make.site(code="FERN-2")), label="Fumo")
    answer = send(as_owner, "code-enter", other, code=codes.printed())

    assert [message.level_tag for message in get_messages(answer.wsgi_request)] == ["success", "warning"]
    assert "Fumo</bdi></a> of FERN-2-A holds the same code" in page(as_owner, held)
    assert "Hems</bdi></a> of KELP-7-A holds the same code" in page(as_owner, other)


def test_no_act_on_a_code_writes_it_into_a_log(as_owner, node, caplog):
    with caplog.at_level(logging.DEBUG):
        send(as_owner, "code-enter", node, code=WRONG)
        send(as_owner, "code-enter", node, code=codes.printed())
        send(as_owner, "code-show", node, **{"show-reason": "the alarm was reset"})

    assert codes.found_in(caplog.text) == []
    assert WRONG not in caplog.text


def test_a_technician_enters_and_sees_codes(client, node):
    client.force_login(make.person(role=Role.TECHNICIAN))
    send(client, "code-enter", node, code=codes.printed())

    answer = send(client, "code-show", node, **{"show-reason": "the alarm was reset"})

    assert codes.printed() in " ".join(strip_tags(answer.content.decode()).split())


def everything(client: Client, node: Node) -> list[int]:
    typed = {"code": codes.printed("two"), "show-reason": "to see", "forget-reason": "to see"}
    return [
        send(client, name, node, **typed).status_code for name in ("code-enter", "code-show", "code-forget")
    ]


def test_codes_of_another_home_do_not_exist_for_a_partner(as_stranger, held):
    assert everything(as_stranger, held) == [404, 404, 404]
    assert JournalEntry.objects.count() == 1


def test_a_partner_reads_the_page_of_their_home_but_no_code(as_stranger, stranger, held):
    stranger.sites.add(held.mesh.site)

    assert "Held, sealed." in strip_tags(page(as_stranger, held))
    assert "<form" not in page(as_stranger, held).partition("<main")[2]
    assert everything(as_stranger, held) == [403, 403, 403]


def test_a_partner_is_not_told_which_device_of_others_holds_the_same_code(as_stranger, stranger, held):
    other = make.node(make.mesh(site=make.site(code="FERN-2")), label="Fumo")
    enter(other, codes.printed(), "Noor", make.NOW)
    stranger.sites.add(held.mesh.site)

    html = page(as_stranger, held)

    assert "Another device holds the same code" in html
    assert "FERN-2" not in html


@pytest.mark.parametrize("role", [Role.OWNER, Role.TECHNICIAN])
def test_with_access_that_ended_there_are_no_codes(client, role, held):
    client.force_login(make.person(role=role, access_ends_on="2020-01-01"))

    assert everything(client, held) == [404, 404, 404]


def test_the_back_door_shows_who_entered_a_code_and_nothing_of_it(client, held):
    client.force_login(make.person(role=Role.OWNER, is_staff=True, is_superuser=True))
    row = InstallCode.objects.get()

    html = client.get(reverse("admin:fleet_installcode_change", args=[row.pk])).content

    assert b"Noor" in html
    assert row.sealed.hex().encode() not in html
    assert bytes(row.mark).hex().encode() not in html
