"""The command that erases a client, and what the others say of one who was erased."""

import json
from io import StringIO
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Erasure, How, SealedBody, Snapshot, TrayItem
from fleet.verbs.intake import Origin, receive
from sites.models import Role
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db

WHO = ("--reason", "the agreement ended", "--by", "Orla", "--second", "noor", "--second-password-file", "-")


@pytest.fixture
def mesh():
    make.person(username="noor", role=Role.OFFICE)
    home = make.site(code="KELP-7", client=make.client(name="Ótta Sæther"))
    network = make.mesh(site=home)
    receive(network, document(network), Origin(How.COMMAND, "Noor"), make.NOW)
    return network


def say(*words) -> str:
    """What a command prints. Standard input holds the password of the second person."""
    out = StringIO()
    with patch("sys.stdin", StringIO(f"{make.PASSWORD}\n")):
        call_command(*words, stdout=out, stderr=StringIO())
    return out.getvalue()


@pytest.mark.parametrize("name", ["Ótta Sæther", "KELP-7", "kelp-7-a", "uid", "start of uid"])
def test_a_client_is_found_by_name_mark_or_home(mesh, name):
    uid = str(mesh.site.client.uid)

    say("erase", {"uid": uid, "start of uid": uid[:8]}.get(name, name), *WHO, "--yes")

    assert Erasure.objects.get().client == mesh.site.client


@pytest.mark.parametrize("name", ["Somebody Else", "MOSS-1", "", "0"])
def test_nobody_is_erased_by_half_a_name(mesh, name):
    with pytest.raises(CommandError, match="There is no client"):
        say("erase", name, *WHO, "--yes")

    assert not Erasure.objects.exists()


def test_of_two_of_one_name_it_asks_which(mesh):
    make.client(name="Ótta Sæther")

    with pytest.raises(CommandError, match="2 clients are called"):
        say("erase", "Ótta Sæther", *WHO, "--yes")


def test_without_yes_and_without_a_person_there_it_erases_nothing(mesh):
    with pytest.raises(CommandError, match="--yes"):
        say("erase", "KELP-7", *WHO)

    assert SealedBody.objects.exists()


@pytest.mark.parametrize("left_out", ["--reason", "--by", "--second"])
def test_it_takes_a_reason_and_two_names(mesh, left_out):
    words = list(WHO)
    count = 4 if left_out == "--second" else 2
    del words[words.index(left_out) : words.index(left_out) + count]

    with pytest.raises(CommandError, match="Nothing was erased"):
        say("erase", "KELP-7", *words, "--yes")


def test_a_technician_is_no_second_person_for_it(mesh):
    make.person(username="pekka", role=Role.TECHNICIAN)

    with pytest.raises(
        CommandError, match=r"--second pekka: no such person .* the owner or somebody of the office"
    ):
        say("erase", "KELP-7", *("pekka" if word == "noor" else word for word in WHO), "--yes")

    assert not Erasure.objects.exists()


def test_the_record_names_the_second_person(mesh):
    say("erase", "KELP-7", *WHO, "--yes")

    assert Erasure.objects.get().second == "noor"


def test_it_says_what_went_what_remains_and_what_to_do(mesh):
    said = say("erase", "KELP-7", *WHO, "--yes")

    assert "Cryptographic erase (NIST SP 800-88)" in said
    assert "1 snapshot\n" in said
    assert "Copies of the database from before" in said
    assert "keyring renew" in said
    assert key(mesh.code).hex() not in said.lower()


def test_the_same_facts_as_json(mesh):
    said = json.loads(say("erase", "KELP-7", *WHO, "--yes", "--json"))

    assert said["erased"]["snapshots"] == 1
    assert said["copies"][0]["sha256"] == Snapshot.objects.get().sha256
    assert len(said["ring_keys_that_open_older_copies"]) == 1


def test_asked_again_it_says_what_remains_today(mesh):
    say("erase", "KELP-7", *WHO, "--yes")
    say("keyring", "renew")

    said = say("erase", "KELP-7")

    assert "The ring of today opens none of them" in said
    assert Erasure.objects.count() == 1


def test_keyring_show_counts_erasures_that_an_older_copy_would_undo(mesh):
    say("erase", "KELP-7", *WHO, "--yes")
    before = json.loads(say("keyring", "show", "--json"))["erasures_that_need_a_renewal"]

    after = json.loads(say("keyring", "renew", "--json"))["erasures_that_need_a_renewal"]

    assert (before, after) == (1, 0)


def test_verify_tells_erased_from_damaged(mesh):
    say("erase", "KELP-7", *WHO, "--yes")

    said = say("sealed", "verify")

    assert "0 sealed rows opened, 0 damaged" in said
    assert "1 erased with their client's key" in said


def test_intake_takes_nothing_in_and_says_why(mesh, tmp_path):
    say("erase", "KELP-7", *WHO, "--yes")
    path = tmp_path / "night.json"
    path.write_bytes(document(mesh))
    out = StringIO()

    with pytest.raises(CommandError, match="1 of 1"):
        call_command("intake", "--mesh", "KELP-7-A", str(path), stdout=out)

    assert "not taken in: The client was erased on" in out.getvalue()
    assert not TrayItem.objects.exists()


def test_no_document_is_given_out_and_no_file_is_left(mesh, tmp_path):
    say("erase", "KELP-7", *WHO, "--yes")
    out = tmp_path / "restore.json"
    spare = make.spare()

    with pytest.raises(CommandError, match="was erased with its client"):
        say(
            "restore-file",
            "KELP-7-A",
            "--radio",
            spare.code,
            "--out",
            str(out),
            "--reason",
            "the radio is dead",
        )

    assert not out.exists()


@pytest.mark.parametrize("sheet", [("handover", "KELP-7"), ("recovery", "KELP-7-A")])
def test_no_sheet_is_issued(mesh, tmp_path, sheet):
    say("erase", "KELP-7", *WHO, "--yes")

    with pytest.raises(CommandError, match=r"Nothing was issued\. KELP-7 was erased with its client"):
        say("sheet", *sheet, "--out", str(tmp_path / "sheet.pdf"))


def test_a_round_and_the_papers_leave_an_erased_home_alone(mesh, tmp_path):
    say("sheet", "handover", "KELP-7", "--out", str(tmp_path / "sheet.pdf"))
    say("erase", "KELP-7", *WHO, "--yes")

    said = json.loads(say("round", "--json"))

    assert (said["errors"], said["sheets_renewed"]) == ([], [])
