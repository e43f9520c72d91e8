"""The page of one document in the tray: who opens it, what it shows, clearing and sending."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import JournalEntry, Mesh, SealedBody, Snapshot, TrayItem, TrayReason
from fleet.verbs.tray import clear
from tests import make
from tests.documents import document
from tests.fleet import foreign_box

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


def page(client: Client, item: TrayItem) -> str:
    answer = client.get(reverse("tray-item", args=[item.uid]))
    assert answer.status_code == 200
    return answer.content.decode()


def post(client: Client, address: str, item: TrayItem, **data: str) -> str:
    answer = client.post(reverse(address, args=[item.uid]), data, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def test_it_says_why_it_waits_and_how_it_came(as_owner, mesh):
    html = page(as_owner, foreign_box.waits(mesh))

    assert "This document waits because nobody has taught the book its layout yet." in html
    assert "Push by <bdi>controller</bdi>" in html
    assert "night.json" in html


def test_an_unknown_layout_has_its_proposal_beside_it(as_owner, mesh):
    html = page(as_owner, foreign_box.waits(mesh))

    for shown in (
        "Extended PAN ID",
        "hex digits, octets reversed",
        "24 devices, in <code>things</code>",
        "the address that nodes point at as their parent and that is no node&#x27;s",
        "sure 95 %",
        "as in the book",
        'value="out"',
    ):
        assert shown in html


def test_no_key_is_on_the_page_in_any_notation(as_owner, mesh):
    item = foreign_box.waits(mesh)

    html = page(as_owner, item) + post(as_owner, "tray-guide", item, name="Box", act="try")

    assert "(hidden)" in html
    assert [text for text in foreign_box.secrets(mesh) if text in html] == []


def test_the_document_itself_is_not_on_the_page(as_owner, mesh):
    html = page(as_owner, foreign_box.waits(mesh))

    assert "&quot;things&quot;:" not in html
    assert foreign_box.facts(mesh).nodes[7].label not in html


def test_each_opening_is_a_line_in_the_journal(as_owner, owner, mesh):
    item = foreign_box.waits(mesh)

    page(as_owner, item)
    page(as_owner, item)

    lines = JournalEntry.objects.filter(what="tray item opened")
    assert [(line.who, line.subject) for line in lines] == [(str(owner), "KELP-7-A")] * 2


def test_a_broken_document_shows_its_problems_and_no_proposal(as_owner, mesh):
    html = page(as_owner, foreign_box.waits(mesh, b'{"cut": '))

    assert "This document waits because it could not be read." in html
    assert "$.cut" in html
    assert "What it seems to say" not in html


def test_a_document_of_another_mesh_names_the_mesh_that_it_states(as_owner, mesh):
    other = make.mesh(site=make.site(code="GULL-5"))

    html = page(as_owner, foreign_box.waits(mesh, document(other)))

    assert "It states the extended PAN ID of" in html
    assert 'value="GULL-5-A"' in html


def test_a_damaged_document_says_so_and_can_still_be_cleared(as_owner, mesh):
    item = foreign_box.waits(mesh)
    SealedBody.objects.update(sealed=bytes(64))

    html = page(as_owner, item)
    assert "What the tray holds cannot be opened." in html

    assert "Cleared." in post(as_owner, "tray-clear", item, reason="damaged")


def test_markup_in_names_is_shown_as_text(as_owner, mesh):
    told = json.loads(foreign_box.body(mesh))
    told["things"][0]["called"] = "<script>alert(1)</script>"
    told["<img src=x onerror=alert(2)>"] = told.pop("radio")
    item = foreign_box.waits(mesh, json.dumps(told).encode())
    TrayItem.objects.update(file_name="<b>night</b>.json", by="<i>me</i>")

    html = page(as_owner, item) + post(as_owner, "tray-guide", item, name="<u>Box</u>", act="try")

    for markup in ("<script>alert", "<img src", "<b>night", "<i>me", "<u>Box"):
        assert markup not in html
    assert "&lt;img src=x onerror=alert(2)&gt;" in html


@pytest.mark.parametrize("depth", [36, 39])
def test_a_deeply_nested_document_has_a_page(as_owner, mesh, depth):
    body = b'{"a":' * depth + foreign_box.body(mesh) + b"}" * depth

    page(as_owner, foreign_box.waits(mesh, body))


def test_a_huge_document_has_a_page(as_owner, mesh):
    rows = [{"wide": f"{at * 7919:016x}", "near": at % 65_000} for at in range(40_000)]
    body = json.dumps({"things": rows, "lock": {"octets": list(range(16))}}).encode()
    assert len(body) > 1_500_000

    html = page(as_owner, foreign_box.waits(mesh, body))

    assert "40000 devices" in html


def test_a_document_with_no_devices_says_so(as_owner, mesh):
    html = page(as_owner, foreign_box.waits(mesh, b'{"radio": {"slot": 15}}'))

    assert "so no devices were found" in html
    assert "Not found, and it must be there" in html


def test_clearing_asks_for_a_reason(as_owner, mesh):
    item = foreign_box.waits(mesh)

    html = post(as_owner, "tray-clear", item, reason="")

    assert "Why is it cleared" in html
    assert "One place needs a second look" in html
    assert TrayItem.objects.get().cleared_at is None


@pytest.mark.parametrize(
    ("ticked", "said", "left"), [({}, "stays sealed", 1), ({"erase": "on"}, "What it held is erased", 0)]
)
def test_clearing_says_whether_what_it_held_is_erased(as_owner, mesh, ticked, said, left):
    item = foreign_box.waits(mesh)

    assert said in post(as_owner, "tray-clear", item, reason="no use", **ticked)

    assert SealedBody.objects.count() == left
    assert "This document has left the tray." in page(as_owner, item)


def test_an_item_that_was_cleared_meanwhile_says_who_was_faster(as_owner, mesh):
    item = foreign_box.waits(mesh)
    clear(item, "no use", "Noor", make.NOW)

    for name, data in (
        ("tray-clear", {"reason": "mine"}),
        ("tray-send", {"mesh": mesh.code}),
        ("tray-guide", {"name": "Box", "act": "confirm"}),
    ):
        assert "Noor was faster" in post(as_owner, name, item, **data)
    assert "This document has left the tray." in post(as_owner, "tray-clear", item, reason="")


def test_sending_takes_it_in_for_the_mesh_that_is_named(as_owner, mesh):
    item = foreign_box.waits(None, document(mesh))

    html = post(as_owner, "tray-send", item, mesh="kelp 7 a")

    assert "Taken in for KELP-7-A and sealed." in html
    assert Snapshot.objects.get().mesh == mesh


def test_what_does_not_fit_there_leads_to_the_new_item(as_owner, mesh):
    html = post(as_owner, "tray-send", foreign_box.waits(None, foreign_box.body(mesh)), mesh="KELP-7-A")

    assert "KELP-7-A could not take it in; it waits there." in html
    assert TrayItem.objects.get(cleared_at=None).reason == TrayReason.UNKNOWN_LAYOUT


@pytest.mark.parametrize("code", ["", "GULL-5-A", "<b>", "KELP-7-A/X"])
def test_a_code_that_is_no_mesh_is_refused_beside_its_field(as_owner, mesh, code):
    html = post(as_owner, "tray-send", foreign_box.waits(None, foreign_box.body(mesh)), mesh=code)

    assert 'id="id_mesh_error"' in html
    assert TrayItem.objects.get().cleared_at is None


def test_a_document_that_was_taken_in_leads_to_its_copy(as_owner, mesh):
    item = foreign_box.waits(mesh)
    post(as_owner, "tray-guide", item, name="Box", act="confirm")

    html = page(as_owner, item)

    assert reverse("snapshot", args=[Snapshot.objects.get().uid]) in html
    assert "read again with field guide Box 1" in html


def test_the_tray_leads_to_each_item_and_to_those_that_have_left(as_owner, mesh):
    waiting, gone = foreign_box.waits(mesh), foreign_box.waits(mesh, b"[]")
    clear(gone, "no use", "Noor", make.NOW)

    html = as_owner.get(reverse("tray")).content.decode()
    left = as_owner.get(reverse("tray"), {"cleared": "1"}).content.decode()

    assert reverse("tray-item", args=[waiting.uid]) in html
    assert reverse("tray-item", args=[gone.uid]) not in html
    assert "One document has left the tray." in left
    assert reverse("tray-item", args=[gone.uid]) in left
    assert "no use" in left


def test_the_leaves_of_what_has_left_keep_to_it(as_owner, mesh):
    for number in range(30):
        make.tray_item(mesh, cleared_at=make.NOW, cleared_because=f"reason {number}")

    html = as_owner.get(reverse("tray"), {"cleared": "1"}).content.decode()

    assert "?cleared=1&amp;page=2" in html


def test_a_partner_of_the_home_reads_the_list_and_opens_nothing(as_stranger, stranger, mesh):
    stranger.sites.add(mesh.site)
    item = foreign_box.waits(mesh)

    html = as_stranger.get(reverse("tray")).content.decode()

    assert "Layout not known" in html
    assert reverse("tray-item", args=[item.uid]) not in html
    assert as_stranger.get(reverse("tray-item", args=[item.uid])).status_code == 403
    assert not JournalEntry.objects.filter(what="tray item opened").exists()


def test_an_item_of_no_mesh_does_not_exist_for_a_partner(as_stranger, stranger, mesh):
    stranger.sites.add(mesh.site)
    item = foreign_box.waits(None, b"{}")

    assert as_stranger.get(reverse("tray-item", args=[item.uid])).status_code == 404
