"""The pages on which a job sheet, a drill's record and an erasure certificate are issued."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import How, Mesh, RadioState
from fleet.verbs.erase import erase_client
from fleet.verbs.intake import Origin, receive
from reports.models import Sheet, SheetKind
from sites.models import Role
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    make.firm()
    network = make.mesh(site=make.site(code="KELP-7"))
    head = make.service(network).radio
    receive(network, document(network), Origin(How.UPLOAD, "Noor"), make.NOW)
    shelf = make.place(name="Shelf one", latitude="68.2", longitude="14.3")
    make.spare(code="NEAR-1", firmware=head.firmware, place=shelf)
    return Mesh.objects.get()


@pytest.fixture
def erased(mesh):
    return erase_client(
        mesh.site.client, "the agreement ended", "Orla Hentsch", "Tomasz Ibe", make.NOW
    ).client


def issue_job(client, mesh, **typed):
    return client.post(reverse("job-sheet", args=[mesh.code]), typed, follow=True)


def test_the_page_asks_which_radio_and_offers_the_spares(as_owner, mesh):
    html = as_owner.get(reverse("job-sheet", args=[mesh.code])).content.decode()

    assert "Which radio is to take over" in html
    assert "NEAR-1" in html
    assert "Shelf one" in html
    assert mesh.periods.get().radio.code not in html


def test_a_job_sheet_is_issued_for_the_chosen_radio(as_owner, mesh):
    html = issue_job(as_owner, mesh, radio="NEAR-1").content.decode()

    sheet = Sheet.objects.get()
    assert (sheet.kind, sheet.about) == (SheetKind.JOB, "KELP-7-A NEAR-1")
    assert sheet.number in html


def test_another_radio_is_named_by_its_code_in_any_case(as_owner, mesh):
    make.spare(code="FAR-1")

    issue_job(as_owner, mesh, radio="another", other="far-1")

    assert Sheet.objects.get().about == "KELP-7-A FAR-1"


def test_the_address_can_name_the_radio(as_owner, mesh):
    make.spare(code="FAR-1")
    page = reverse("job-sheet", args=[mesh.code])

    listed = as_owner.get(f"{page}?radio=NEAR-1").content.decode()
    typed = as_owner.get(f"{page}?radio=FAR-1").content.decode()

    assert re.search(r'<input[^>]*value="NEAR-1"[^>]*checked', listed)
    assert 'value="FAR-1"' in typed


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Choose the radio that is to take over."),
        ({"radio": "another", "other": ""}, "Write the code that is on the radio, such as A2-0110."),
        ({"radio": "another", "other": "NONE-9"}, "There is no radio NONE-9 in this book."),
        (
            {"radio": "another", "other": "GONE-1"},
            "GONE-1 is missing; name one that lies ready for KELP-7-A.",
        ),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_issued(as_owner, mesh, typed, said):
    make.radio(code="GONE-1", state=RadioState.MISSING)

    html = issue_job(as_owner, mesh, **typed).content.decode()

    assert said in html
    assert not Sheet.objects.exists()


def test_the_mesh_page_leads_to_both_papers(as_owner, mesh):
    drill = make.drill(mesh)

    html = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()

    assert reverse("job-sheet", args=[mesh.code]) in html
    assert reverse("drill-record", args=[mesh.code, drill.pk]) in html


def test_the_papers_of_a_home_lead_to_both(as_owner, mesh):
    drill = make.drill(mesh)

    html = as_owner.get(reverse("sheets", args=["KELP-7"])).content.decode()

    assert reverse("job-sheet", args=[mesh.code]) in html
    assert reverse("drill-record", args=[mesh.code, drill.pk]) in html


def test_a_drill_is_put_on_paper(as_owner, mesh):
    drill = make.drill(mesh)

    html = as_owner.post(reverse("drill-record", args=[mesh.code, drill.pk]), follow=True).content.decode()

    sheet = Sheet.objects.get()
    assert (sheet.kind, sheet.about) == (SheetKind.DRILL, f"KELP-7-A {drill.pk}")
    assert sheet.number in html


def test_a_drill_of_another_mesh_gets_no_record_here(as_owner, mesh):
    drill = make.drill(make.mesh())

    assert as_owner.post(reverse("drill-record", args=[mesh.code, drill.pk])).status_code == 404


def test_the_page_of_an_erased_client_issues_the_certificate(as_owner, erased):
    page = as_owner.get(reverse("client-erase", args=[erased.uid])).content.decode()
    assert "Issue the certificate" in page

    html = as_owner.post(reverse("erasure-certificate", args=[erased.uid]), follow=True).content.decode()

    sheet = Sheet.objects.get(kind=SheetKind.ERASURE)
    assert reverse("sheet-file", args=[sheet.number]) in html
    answer = as_owner.get(reverse("sheet-file", args=[sheet.number]))
    assert answer.content.startswith(b"%PDF-")


def test_a_key_ring_that_cannot_be_read_issues_no_certificate(as_owner, erased, settings):
    settings.KEYRING_FILE.write_text("no ring")

    answer = as_owner.post(reverse("erasure-certificate", args=[erased.uid]))

    assert answer.status_code == 302
    assert not Sheet.objects.filter(kind=SheetKind.ERASURE).exists()


def test_a_client_who_was_not_erased_has_no_certificate(as_owner, mesh):
    answer = as_owner.post(reverse("erasure-certificate", args=[mesh.site.client.uid]))

    assert answer.status_code == 404


@pytest.mark.parametrize(("role", "status"), [(Role.OFFICE, 302), (Role.TECHNICIAN, 403)])
def test_a_certificate_is_for_the_owner_and_the_office(client, erased, role, status):
    client.force_login(make.person(role=role))

    assert client.post(reverse("erasure-certificate", args=[erased.uid])).status_code == status


def test_only_they_read_it(client, as_owner, erased):
    as_owner.post(reverse("erasure-certificate", args=[erased.uid]))
    number = Sheet.objects.get(kind=SheetKind.ERASURE).number
    client.logout()
    client.force_login(make.person(role=Role.TECHNICIAN))

    assert client.get(reverse("sheet-file", args=[number])).status_code == 404


def test_an_erased_home_gets_no_job_sheet_and_no_record(as_owner, mesh, erased):
    drill = make.drill(mesh, done_at=make.NOW - timedelta(days=9))

    assert as_owner.get(reverse("job-sheet", args=[mesh.code])).status_code == 403
    assert as_owner.post(reverse("drill-record", args=[mesh.code, drill.pk])).status_code == 403
