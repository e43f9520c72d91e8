"""Papers of a home: the list, issuing, and the files."""

import pytest
from django.urls import reverse

from reports.models import Sheet, SheetKind
from tests import make

pytestmark = pytest.mark.django_db


def test_a_sheet_is_downloaded_as_it_was_issued(as_owner):
    sheet = make.sheet(make.site(code="KELP-7"), body=b"%PDF-1.7 on paper")
    answer = as_owner.get(reverse("sheet-file", args=[sheet.number]))
    assert answer.content == b"%PDF-1.7 on paper"
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="KELP-7-{sheet.number}.pdf"'


def test_the_entity_tag_is_the_digest_of_the_file(as_owner):
    sheet = make.sheet(make.site())
    answer = as_owner.get(reverse("sheet-file", args=[sheet.number]))
    assert answer.headers["ETag"] == f'"{sheet.sha256}"'


def test_a_reader_who_has_the_file_is_not_sent_it_again(as_owner):
    sheet = make.sheet(make.site())
    url = reverse("sheet-file", args=[sheet.number])
    answer = as_owner.get(url, headers={"If-None-Match": f'"{sheet.sha256}"'})
    assert (answer.status_code, answer.content) == (304, b"")


def test_a_file_that_was_changed_since_is_not_handed_out(as_owner):
    sheet = make.sheet(make.site())
    with sheet.file.storage.open(sheet.file.name, "wb") as file:
        file.write(b"%PDF-1.7 something else")
    answer = as_owner.get(reverse("sheet-file", args=[sheet.number]))
    assert answer.status_code == 410
    assert "is not the one that was issued" in answer.content.decode()


def test_a_file_that_is_gone_is_said_to_be(as_owner):
    sheet = make.sheet(make.site())
    sheet.file.storage.delete(sheet.file.name)
    assert as_owner.get(reverse("sheet-file", args=[sheet.number])).status_code == 410


def test_a_sheet_of_another_home_is_not_found(as_stranger):
    sheet = make.sheet(make.site())
    assert as_stranger.get(reverse("sheet-file", args=[sheet.number])).status_code == 404


def test_the_list_says_how_many_are_in_force_and_out_of_date(as_owner):
    home = make.site(code="KELP-7")
    make.sheet(home, stale_since=make.NOW)
    make.sheet(home, make.mesh(site=home))
    html = as_owner.get(reverse("sheets", args=["KELP-7"])).content.decode()
    assert "2 sheets of KELP-7 are in force, one of them out of date." in html


def test_a_replaced_sheet_stands_apart(as_owner):
    home = make.site()
    old = make.sheet(home)
    make.sheet(home, revision=2, replaces=old)
    html = as_owner.get(reverse("sheets", args=[home.code])).content.decode()
    assert html.index("Replaced sheets") < html.index(old.number)


def test_a_hand_over_sheet_is_issued_now(as_owner):
    make.firm()
    mesh = make.mesh()
    make.service(mesh)
    make.snapshot(mesh)
    as_owner.post(reverse("handover-issue", args=[mesh.site.code]))
    sheet = Sheet.objects.get()
    assert (sheet.kind, sheet.site) == (SheetKind.HANDOVER, mesh.site)


def test_a_recovery_sheet_is_issued_now(as_owner):
    make.firm()
    mesh = make.mesh()
    make.service(mesh)
    make.snapshot(mesh)
    as_owner.post(reverse("recovery-issue", args=[mesh.site.code, mesh.code]))
    assert Sheet.objects.get().mesh == mesh


def test_a_mesh_of_another_home_gets_no_sheet_here(as_owner):
    answer = as_owner.post(reverse("recovery-issue", args=[make.site().code, make.mesh().code]))
    assert answer.status_code == 404


@pytest.mark.parametrize("sheets", [1, 10])
def test_the_list_takes_nine_statements(as_owner, django_assert_num_queries, sheets):
    home = make.site()
    for _ in range(sheets):
        make.sheet(home, make.mesh(site=home))
    # session, person, home, sheets, meshes, drills, and what became of them: signatures, links, mails
    with django_assert_num_queries(9):
        as_owner.get(reverse("sheets", args=[home.code]))
