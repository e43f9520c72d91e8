"""Asking for a sealed page: on its page in the browser, and at the terminal."""

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import JournalEntry
from sites.access import WRONG_TRIES
from sites.models import Role
from tests import documents, make
from tests.reports.envelope import held_mesh, opened, shown

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    return held_mesh()


def ask(client, mesh, **given):
    address = reverse("sealed-page", args=[mesh.code])
    offered = client.get(address).context["passphrase"]
    told = {"reason": "for the safe", "second_name": "pekka", "second_password": make.PASSWORD}
    return offered, client.post(address, {"passphrase": offered, **told, **given})


def test_the_page_gives_the_file_when_two_people_agree(mesh, as_owner):
    second = make.person(username="pekka")

    offered, answer = ask(as_owner, mesh)

    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert shown(documents.key(mesh.code)) in opened(answer.content, offered)
    line = JournalEntry.objects.get(what="sealed page made")
    assert (line.who, line.details["second"]) == ("Orla Hentsch", str(second))
    assert offered not in str(line.details)


def test_two_people_of_one_name_are_two(mesh, as_owner):
    make.person(username="pekka", first_name="Orla", last_name="Hentsch")

    _, answer = ask(as_owner, mesh)

    assert answer["Content-Type"] == "application/pdf"
    line = JournalEntry.objects.get(what="sealed page made")
    assert (line.who, line.details["second"]) == ("Orla Hentsch", "Orla Hentsch")


def test_each_visit_draws_another_passphrase(mesh, as_owner):
    address = reverse("sealed-page", args=[mesh.code])

    assert as_owner.get(address).context["passphrase"] != as_owner.get(address).context["passphrase"]


@pytest.mark.parametrize(
    "given",
    [
        {"reason": ""},
        {"reason": "0123456789ABCDEF" * 2},
        {"second_password": "wrong"},
        {"second_name": ""},
        {"second_name": "orla"},
        {"passphrase": "chosen by hand"},
    ],
)
def test_the_page_says_what_is_wrong_and_gives_no_file(mesh, as_owner, given):
    make.person(username="pekka")

    _, answer = ask(as_owner, mesh, **given)

    assert answer.status_code == 422
    assert "%PDF" not in answer.content.decode()
    assert make.PASSWORD not in answer.content.decode()
    assert not JournalEntry.objects.filter(what="sealed page made").exists()


def test_the_sixth_wrong_password_is_not_looked_at(mesh, as_owner):
    make.person(username="pekka")
    for _ in range(WRONG_TRIES):
        ask(as_owner, mesh, second_password="wrong")

    _, answer = ask(as_owner, mesh)

    assert answer.status_code == 422
    assert "Wait a quarter of an hour" in answer.content.decode()


@pytest.mark.parametrize("role", [Role.OWNER, Role.OFFICE, Role.TECHNICIAN])
def test_whoever_may_restore_may_make_it(client, mesh, role):
    make.person(username="pekka")
    client.force_login(make.person(role=role))

    assert ask(client, mesh)[1].status_code == 200


def test_a_partner_of_this_home_may_not(mesh, client):
    client.force_login(make.subcontractor(mesh.site))
    address = reverse("sealed-page", args=[mesh.code])

    assert (client.get(address).status_code, client.post(address).status_code) == (403, 403)


def test_a_partner_may_not_be_the_second_person(mesh, as_owner):
    make.subcontractor(mesh.site, username="pekka")

    assert ask(as_owner, mesh)[1].status_code == 422


def test_a_partner_of_another_home_finds_nothing(mesh, as_stranger):
    assert as_stranger.get(reverse("sealed-page", args=[mesh.code])).status_code == 404


def test_the_papers_of_the_home_lead_to_it(mesh, as_owner):
    html = as_owner.get(reverse("sheets", args=[mesh.site.code])).content.decode()

    assert reverse("sealed-page", args=[mesh.code]) in html


@pytest.fixture
def command(mesh, tmp_path):
    """The command with a second person whose password lies in a file."""
    make.person(username="pekka")
    (tmp_path / "password").write_text(make.PASSWORD + "\n")
    out = tmp_path / "page.pdf"

    def run(*more: str) -> None:
        asked = [
            "--out",
            str(out),
            "--reason",
            "for the safe",
            "--second-password-file",
            str(tmp_path / "password"),
        ]
        call_command("sealed-page", mesh.code, *asked, *more)

    run.out = out
    return run


def test_the_command_writes_it_for_its_owner_only(mesh, command, capsys):
    command("--second", "pekka")

    told = capsys.readouterr().out
    passphrase = told.split("shown once: ")[1].split()[0]
    assert command.out.stat().st_mode & 0o777 == 0o600
    assert shown(documents.key(mesh.code)) in opened(command.out.read_bytes(), passphrase)
    assert JournalEntry.objects.get(what="sealed page made").details["second"]
    with pytest.raises(CommandError, match="cannot be written"):
        command("--second", "pekka")


def test_a_refused_command_leaves_no_file(mesh, command, tmp_path):
    with pytest.raises(CommandError, match="second"):
        call_command("sealed-page", mesh.code, "--out", str(command.out), "--reason", "for the safe")
    (tmp_path / "password").write_text("wrong")
    with pytest.raises(CommandError, match="Nothing was done"):
        command("--second", "pekka")
    (tmp_path / "password").write_text(make.PASSWORD)
    with pytest.raises(CommandError, match="reason"):
        command("--second", "pekka", "--reason", " ")

    assert not command.out.exists()
