"""The page that erases a client, and what every other page says of one who was erased."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import NoReverseMatch, reverse

from fleet.models import Erasure, How, SealedBody, Snapshot, TrayItem, TrayReason
from fleet.verbs.erase import erase_client
from fleet.verbs.intake import Origin, receive
from sites.models import Client, Role
from tests import make
from tests.addresses import pages
from tests.documents import document

pytestmark = pytest.mark.django_db

DEVICE = "02BEEF0000001000"


@pytest.fixture
def mesh():
    home = make.site(code="KELP-7", client=make.client(name="Ótta Sæther"))
    network = make.mesh(site=home)
    receive(network, document(network), Origin(How.UPLOAD, "Noor"), make.NOW)
    return network


@pytest.fixture
def client_row(mesh) -> Client:
    return mesh.site.client


@pytest.fixture
def office(db):
    return make.person(username="tilda", first_name="Tilda", last_name="Brandvold", role=Role.OFFICE)


def address(row: Client) -> str:
    return f"/clients/{row.uid}/erase/"


def typed(**given: str) -> dict[str, str]:
    return {
        "reason": "the agreement ended",
        "client_name": "Ótta Sæther",
        "second_name": "tilda",
        "second_password": make.PASSWORD,
        **given,
    }


def test_it_asks_first_and_says_what_goes_and_what_stays(as_owner, client_row):
    page = as_owner.get(address(client_row)).content.decode()

    assert "for good?" in page
    assert "1 snapshot of 1 mesh" in page
    assert "older copies of the database" in page


def test_two_people_and_the_name_erase_and_the_page_says_what_remains(as_owner, office, client_row):
    page = as_owner.post(address(client_row), typed(), follow=True).content.decode()

    row = Erasure.objects.get()
    assert (row.by, row.second) == ("Orla Hentsch", "Tilda Brandvold")
    assert "was erased on" in page
    assert "keyring renew" in page
    assert make.PASSWORD not in page


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"client_name": "Otta Saether"}, "That is neither the name"),
        ({"client_name": "MOSS-1"}, "That is neither the name"),
        ({"reason": ""}, "This field is required"),
        ({"second_password": "wrong"}, "No such person with this password"),
        ({"second_name": "nobody"}, "No such person with this password"),
        ({"second_name": "orla"}, "somebody other than you"),
        ({"second_name": "", "second_password": ""}, "This field is required"),
        ({"second_name": "noor"}, "No such person with this password"),
    ],
    ids=["name", "another home", "reason", "password", "stranger", "oneself", "alone", "a technician"],
)
def test_anything_less_erases_nothing(as_owner, office, technician, client_row, given, says):
    page = as_owner.post(address(client_row), typed(**given)).content.decode()

    assert says in page
    assert make.PASSWORD not in page
    assert SealedBody.objects.exists()
    assert not Erasure.objects.exists()


@pytest.mark.parametrize("name", ["  O\u0301tta   sæther ", "kelp-7"], ids=["composed", "code"])
def test_the_name_may_be_composed_in_another_way_or_be_a_homes_code(as_owner, office, client_row, name):
    as_owner.post(address(client_row), typed(client_name=name))

    assert Erasure.objects.exists()


def test_a_second_person_whose_access_has_ended_does_not_count(as_owner, office, client_row):
    office.access_ends_on = date(2020, 1, 1)
    office.save()

    as_owner.post(address(client_row), typed())

    assert not Erasure.objects.exists()


def test_while_a_hold_stands_there_is_no_form_and_a_post_erases_nothing(as_owner, office, client_row):
    Client.objects.update(held_since=date(2027, 1, 4), hold_reason="court order 12")

    page = as_owner.post(address(client_row), typed(), follow=True).content.decode()

    assert "cannot be erased: a legal hold stands" in page
    assert "court order 12" in page
    assert "second_password" not in page
    assert not Erasure.objects.exists()


def test_a_technician_may_not_erase_and_a_stranger_finds_nothing(client, as_stranger, technician, client_row):
    client.force_login(technician)

    assert client.get(address(client_row)).status_code == 403
    assert as_stranger.get(address(client_row)).status_code == 404


@pytest.fixture
def erased(mesh):
    erase_client(mesh.site.client, "the agreement ended", "Orla", "Tilda", make.NOW)
    return mesh


@pytest.mark.parametrize(
    "path",
    ["/meshes/KELP-7-A/", "/homes/KELP-7/", "/homes/KELP-7/sheets/", "/clients/", "/", "/tray/", "/journal/"],
)
def test_every_page_of_an_erased_client_still_opens(as_owner, erased, path):
    assert as_owner.get(path).status_code == 200


@pytest.mark.parametrize("name", sorted(pages() - {"sign-in"}))
def test_no_page_at_all_breaks_down_over_an_erased_client(as_owner, erased, name):
    """Every page that can be named with something of theirs: it opens, or says in words why nothing can be done."""
    copy, home = Snapshot.objects.get(), erased.site
    for about in (
        [erased.code],
        [home.code],
        [copy.uid],
        [home.client.uid],
        [erased.code, DEVICE],
        [home.code, 1],
    ):
        try:
            path = reverse(name, args=about)
        except NoReverseMatch:
            continue
        assert as_owner.get(path, {"old": copy.uid, "new": copy.uid}).status_code in (200, 302, 403, 404)


@pytest.mark.parametrize("path", ["/meshes/KELP-7-A/", "/homes/KELP-7/"])
def test_mesh_and_home_say_it_in_the_first_line_and_offer_nothing_to_do(as_owner, erased, path):
    page = as_owner.get(path).content.decode()

    assert "was erased with its client on 26 Mar 2027" in page
    assert "Take it in" not in page
    assert "Make a push token" not in page


def test_a_copy_says_why_it_is_gone(as_owner, erased):
    page = as_owner.get(f"/snapshots/{Snapshot.objects.get().uid}/").content.decode()

    assert "This copy was erased" in page
    assert "Erased with the client: the agreement ended" in page


def test_an_upload_is_refused_with_the_reason_and_leaves_no_row(as_owner, erased):
    sent = {"document": SimpleUploadedFile("night.json", document(erased))}

    page = as_owner.post("/meshes/KELP-7-A/snapshots/", sent, follow=True).content.decode()

    assert "Nothing was taken in. The client was erased on 2027-03-26" in page
    assert not TrayItem.objects.exists()
    assert Snapshot.objects.get().arrivals.count() == 1


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("get", "/meshes/KELP-7-A/change/"),
        ("get", "/homes/KELP-7/meshes/new/"),
        ("get", "/homes/KELP-7/change/"),
        ("post", "/meshes/KELP-7-A/tokens/"),
        ("post", "/homes/KELP-7/sheets/handover/"),
    ],
)
def test_nothing_of_an_erased_client_is_changed_any_more(as_owner, erased, method, path):
    answer = getattr(as_owner, method)(path, {"label": "controller"})

    assert answer.status_code == 403
    assert "what is left is a record" in answer.content.decode()


def test_the_board_does_not_ask_for_a_mesh_in_an_erased_home(as_owner, erased):
    assert "KELP-7" not in as_owner.get("/").content.decode()


def test_the_client_page_leads_to_what_was_erased(as_owner, erased):
    page = as_owner.get(f"/clients/{erased.site.client.uid}/").content.decode()

    assert "was erased on 26 Mar 2027" in page
    assert address(erased.site.client) in page
    assert "Enter a home" not in page


def test_the_last_step_of_an_agreement_that_ended_is_done_by_erasing(as_owner, office, client_row, mesh):
    promise = make.agreement(mesh.site, ends_on=date(2027, 1, 31))
    steps = f"/homes/KELP-7/agreements/{promise.pk}/end/"
    assert as_owner.post(f"{steps}erase/").status_code == 404
    assert address(client_row) in as_owner.get(steps).content.decode()

    as_owner.post(address(client_row), typed())

    assert "What was erased" in as_owner.get(steps).content.decode()


def test_a_hold_shows_at_the_last_step_of_an_agreement(as_owner, mesh):
    promise = make.agreement(mesh.site, ends_on=date(2027, 1, 31))
    Client.objects.update(held_since=date(2027, 1, 4), hold_reason="court order 12")

    page = as_owner.get(f"/homes/KELP-7/agreements/{promise.pk}/end/").content.decode()

    assert "Held: since 2027-01-04 on the client: court order 12" in page


def test_the_record_lists_every_digest(as_owner, erased):
    page = as_owner.get(address(erased.site.client)).content.decode()

    assert Snapshot.objects.get().sha256[:8] in page


def test_it_says_what_is_not_finished_yet(as_owner, client_row, mesh):
    make.agreement(mesh.site, ends_on=date(2999, 1, 1))

    page = as_owner.get(address(client_row)).content.decode()

    assert "is in force until 2999-01-01." in page
    assert "not noted as handed over" in page


def test_a_document_of_another_mesh_in_the_tray_is_settled_first(as_owner, office, client_row, mesh):
    make.tray_item(mesh, reason=TrayReason.WRONG_HOME)

    page = as_owner.post(address(client_row), typed(), follow=True).content.decode()

    assert "1 document waits that was sent for this client and belongs to another mesh" in page
    assert not Erasure.objects.exists()
