"""manage.py sheets: the same verbs from the terminal."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.queries.clock import book_time
from reports.models import Sheet, SheetKind, SheetLink
from reports.verbs import links
from tests import make
from tests.reports.papers import home_with_papers, newest

pytestmark = pytest.mark.django_db


def run(*given):
    out = StringIO()
    call_command("sheets", *given, stdout=out, stderr=StringIO())
    return out.getvalue()


def facts(*given):
    return json.loads(run(*given, "--json"))


@pytest.fixture
def mesh():
    found = home_with_papers()
    Sheet.objects.update(checked_at=book_time().now - timedelta(hours=1))
    return found


def test_stale_compares_and_lists_with_what_changed(mesh):
    mesh.site.contacts.update(name="Tobias")

    told = facts("stale")

    assert told["compared"] == 2
    assert {(each["home"], each["changed"]) for each in told["sheets"]} == {
        ("KELP-7", "people to call: name")
    }
    assert "2 sheets are out of date; 2 were compared now." in run("stale")


def test_stale_tells_homes_with_an_old_sheet_on_the_wall_until_the_new_one_hangs(mesh):
    mesh.site.contacts.update(name="Tobias")
    run("stale")
    run("remake")

    old = facts("stale")["old_on_walls"]
    assert {(each["home"], each["kind"]) for each in old} == {("KELP-7", "handover"), ("KELP-7", "recovery")}
    assert "1 homes have an old sheet on the wall." in run("stale")

    for each in old:
        assert facts("hung", each["number"], "--by", "Noor")["hung_by"] == "Noor"

    assert facts("stale")["old_on_walls"] == []


def test_a_replaced_sheet_cannot_be_noted_as_hung(mesh):
    sheet = newest(mesh, "recovery")
    newer = make.sheet(mesh.site, mesh, revision=2, replaces=sheet)
    with pytest.raises(CommandError, match=f"{sheet.number} was replaced; hang {newer.number} there."):
        run("hung", sheet.number)


def test_remake_makes_what_is_marked(mesh):
    mesh.site.contacts.update(name="Tobias")
    run("stale")

    assert facts("remake") == {"dealt_with": 2, "made": 2, "errors": 0}
    assert facts("remake") == {"dealt_with": 0, "made": 0, "errors": 0}
    assert newest(mesh, "recovery").revision == 2


def test_verify_tells_of_a_file_whether_it_holds(mesh):
    sheet = newest(mesh, "recovery")
    told = facts("verify", sheet.file.path)

    assert (told["number"], told["standing"], told["signed"]) == (sheet.number, "in force", False)


def test_verify_fails_for_a_file_that_was_changed_or_replaced(mesh, tmp_path):
    sheet = newest(mesh, "recovery")
    changed = tmp_path / "changed.pdf"
    with sheet.file.open("rb") as held:
        changed.write_bytes(held.read() + b" ")
    with pytest.raises(CommandError, match="not one that was issued here"):
        run("verify", str(changed))
    make.sheet(mesh.site, mesh, revision=2, replaces=sheet)
    with pytest.raises(CommandError, match="Do not work from it"):
        run("verify", sheet.file.path)


def test_verify_passes_a_record_and_says_that_it_is_not_compared(mesh):
    sheet = make.sheet(mesh.site, mesh, kind=SheetKind.DRILL, about="a drill", body=b"%PDF-1.7 a record")
    told = facts("verify", sheet.file.path)

    assert (told["standing"], told["since"]) == ("issued", None)
    assert "it shows that day and is not compared with the book" in run("verify", sheet.file.path)


def test_verify_fails_for_an_erased_clients_sheet(mesh):
    mesh.site.client.erased_at = make.NOW
    mesh.site.client.save()

    with pytest.raises(CommandError, match="no longer kept up"):
        run("verify", newest(mesh, "recovery").file.path)


def test_verify_says_which_file_cannot_be_read(tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        run("verify", str(tmp_path / "none.pdf"))


def test_a_link_is_printed_once_and_opens_its_sheet(mesh, settings):
    settings.BOOK_ADDRESS = "https://book.example"
    sheet = newest(mesh, "recovery")

    told = facts("link", sheet.number.lower(), "--for", "Ingunn", "--days", "3")

    token = told["link"].removeprefix("https://book.example/hand/#")
    assert links.open_link(token, book_time().now).sheet == sheet
    listed = run("links", "--json")
    assert token not in listed
    assert json.loads(listed)[0]["opened"] == 1


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["H-000012-X", "--for", "I"], "check character"),
        (["H-000012-0", "--for", "I"], "There is no sheet H-000012-0"),
    ],
)
def test_a_number_that_is_not_there_is_said(given, said, settings):
    settings.BOOK_ADDRESS = "https://book.example"
    with pytest.raises(CommandError, match=said):
        run("link", *given)


def test_a_link_for_too_long_is_refused(mesh, settings):
    settings.BOOK_ADDRESS = "https://book.example"
    with pytest.raises(CommandError, match="days: 91; right is 1 to 90"):
        run("link", newest(mesh, "recovery").number, "--for", "Ingunn", "--days", "91")
    assert not SheetLink.objects.exists()


def test_a_link_needs_the_address_of_the_book(mesh):
    with pytest.raises(CommandError, match="SPAREBOOK_ADDRESS is not set"):
        run("link", newest(mesh, "recovery").number, "--for", "Ingunn")
