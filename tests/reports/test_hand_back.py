"""The hand-back pack: all of a home, opened by its passphrase only."""

import io
import re

import pytest
import pyzipper
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import CounterEvidence, EvidenceKind, How, JournalEntry
from fleet.verbs.intake import Origin, receive
from reports.verbs.hand_back import PackRefused, make_pack
from reports.verbs.passphrase import drawn_from
from tests import documents, make

pytestmark = pytest.mark.django_db

PASSPHRASE = drawn_from(bytes(range(25)))


@pytest.fixture
def mesh():
    row = make.mesh(site=make.site(client=make.client(bill_open=True)))
    receive(row, documents.document(row), Origin(How.UPLOAD, "Orla"), make.NOW)
    make.node(row, label="=SUM(A1)")
    return row


def opened(octets: bytes, passphrase: str = PASSPHRASE) -> dict[str, bytes]:
    with pyzipper.AESZipFile(io.BytesIO(octets)) as box:
        box.setpassword(passphrase.encode())
        return {name: box.read(name) for name in box.namelist()}


def test_the_newest_copy_lies_in_it_as_it_came(mesh):
    files = opened(make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW).octets)

    assert documents.document(mesh) in files.values()


def test_another_passphrase_does_not_open_it(mesh):
    pack = make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW)

    with pytest.raises(RuntimeError, match="Bad password"):
        opened(pack.octets, drawn_from(bytes(25)))


def test_the_number_in_it_goes_into_the_ledger(mesh):
    first = opened(make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW).octets)

    line = CounterEvidence.objects.get(mesh=mesh, kind=EvidenceKind.RESTORE)
    number, per_day = re.search(
        rf"{mesh.code}: (\d+) on 2027-03-26 at 08:00 UTC, and (\d+) more", first["READ-FIRST.txt"].decode()
    ).groups()
    assert line.value == int(number) + int(per_day)


def test_no_spreadsheet_takes_a_device_for_a_formula(mesh):
    files = opened(make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW).octets)

    assert b"'=SUM(A1)" in files[f"{mesh.code}/devices.csv"]


def test_a_home_without_a_copy_still_gets_its_pack():
    mesh = make.mesh()

    files = opened(make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW).octets)

    assert "there is no sound snapshot" in files["READ-FIRST.txt"].decode()


@pytest.mark.parametrize(("passphrase", "reason"), [(PASSPHRASE, " "), ("short", "contract ends")])
def test_a_pack_without_a_reason_or_a_drawn_passphrase_is_refused(mesh, passphrase, reason):
    with pytest.raises(PackRefused):
        make_pack(mesh.site, passphrase, reason, "Orla", make.NOW)

    assert not CounterEvidence.objects.filter(kind=EvidenceKind.RESTORE).exists()


def test_the_page_offers_a_passphrase_and_gives_the_file(mesh, as_owner):
    address = reverse("hand-back", args=[mesh.site.code])
    offered = as_owner.get(address).context["passphrase"]

    answer = as_owner.post(address, {"passphrase": offered, "reason": "contract ends"})

    assert "no-store" in answer["Cache-Control"]
    assert "READ-FIRST.txt" in opened(answer.content, offered)


def test_an_open_bill_is_said_not_to_matter(mesh, as_owner):
    html = as_owner.get(reverse("hand-back", args=[mesh.site.code])).content.decode()

    assert "A bill is open: it does not hold this back." in html


def test_the_journal_says_who_took_it_and_no_passphrase(mesh, as_owner):
    make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW)

    line = JournalEntry.objects.get(what="hand-back pack made")
    assert (line.who, line.subject) == ("Orla", mesh.site.code)
    assert PASSPHRASE not in str(line.details)


def test_a_partner_may_not_make_one(mesh, as_stranger, stranger):
    stranger.sites.add(mesh.site)

    assert as_stranger.get(reverse("hand-back", args=[mesh.site.code])).status_code == 403


def test_the_command_writes_it_and_never_over_a_file(mesh, tmp_path, capsys):
    out = tmp_path / "pack.zip"
    call_command("hand-back", mesh.site.code, "--out", str(out), "--reason", "contract ends")
    said = capsys.readouterr().out

    passphrase = said.split("shown once: ")[1].split()[0]
    assert "READ-FIRST.txt" in opened(out.read_bytes(), passphrase)
    with pytest.raises(CommandError, match="File exists"):
        call_command("hand-back", mesh.site.code, "--out", str(out), "--reason", "again")


def test_an_erased_home_has_no_pack(mesh):
    mesh.site.client.erased_at = make.NOW

    with pytest.raises(PackRefused, match="was erased with its client on 2027-03-26"):
        make_pack(mesh.site, PASSPHRASE, "contract ends", "Orla", make.NOW)


@pytest.mark.parametrize("secret", [PASSPHRASE, "38, 56, D9, 11, " * 4])
def test_neither_passphrase_nor_key_goes_into_the_journal(mesh, secret):
    reason = f"opened by {secret}"
    with pytest.raises(PackRefused, match="reason: "):
        make_pack(mesh.site, PASSPHRASE, reason, "Orla", make.NOW)
    assert not JournalEntry.objects.filter(details__has_key="reason").exists()
