"""The sealed page: keys and codes on a paper of their own, under a passphrase, by two people."""

import re
import subprocess
from datetime import timedelta
from io import BytesIO

import pypdf
import pypdfium2
import pytest
from django.urls import reverse

from fleet.mesh.install_codes import link_key_of, show_install_code
from fleet.models import Currency, Custody, Grade, InstallCode, JournalEntry, Node
from fleet.snapshots.facts import LinkKeyKind
from fleet.verbs.erase import erase_client
from fleet.verbs.install_codes import enter
from reports.models import Sheet
from reports.verbs.sealed_page import Asked, SealedPageRefused, make_sealed_page
from tests import codes, documents, make
from tests.reports.envelope import PASSPHRASE, held_mesh, opened, shown, take_in
from tests.reports.reading import squeezed

pytestmark = pytest.mark.django_db

IDENTIFIER = re.compile(rb"/ID \[ <([0-9a-f]{32})>")
STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
ASKED = Asked("Orla", "for the safe", "Noor")


@pytest.fixture
def mesh():
    return held_mesh()


def page_of(mesh, asked=ASKED, passphrase=PASSPHRASE, now=make.NOW):
    return make_sealed_page(mesh, passphrase, asked, now)


def secrets_of(mesh) -> list[bytes]:
    code = codes.octets("hall")
    links = [documents.key(f"link {0x1000 + place}") for place in range(1, documents.NODES)]
    return [documents.key(mesh.code), *links, code, link_key_of(code)]


def test_it_shows_every_key_and_code_that_the_copy_and_the_book_hold(mesh):
    text = opened(page_of(mesh).octets)

    assert [key.hex() for key in secrets_of(mesh)[:-2] if shown(key) not in text] == []
    code = codes.octets("hall")
    assert squeezed(show_install_code(code)) in text
    assert shown(link_key_of(code)) in text
    assert "Keysequencenumber0" in text


def test_the_seed_of_link_keys_stands_on_it_where_the_copy_has_one(mesh):
    take_in(mesh, make.NOW + timedelta(hours=1), link_key_seed=documents.key("seed"))

    assert shown(documents.key("seed")) in opened(page_of(mesh).octets)


def test_the_key_that_every_device_of_the_trade_knows_is_no_secret(mesh):
    first, *rest = documents.nodes()
    public = documents.replace(first, link_key_kind=LinkKeyKind.PUBLIC, link_key=documents.key("public"))
    InstallCode.objects.all().delete()
    take_in(mesh, make.NOW + timedelta(hours=1), nodes=(public, *rest))

    text = opened(page_of(mesh).octets)

    assert shown(documents.key("public")) not in text
    assert "inthecopyorthebook:1." in text


def test_no_notation_of_any_secret_stands_in_the_encrypted_octets(mesh):
    octets = page_of(mesh).octets

    assert codes.secrets_in(octets, [*secrets_of(mesh), PASSPHRASE.encode()]) == []
    for word in (mesh.code, "Sealed page", mesh.site.client.name, "Hollin"):
        assert word.encode() not in octets
        assert word.encode("utf-16-be") not in octets


def test_it_is_aes_256_of_revision_6_and_whole(mesh, tmp_path):
    file = tmp_path / "page.pdf"
    file.write_bytes(page_of(mesh).octets)
    ask = ["qpdf", f"--password={PASSPHRASE}"]

    told = subprocess.run([*ask, "--show-encryption", file], capture_output=True, text=True, check=True)
    checked = subprocess.run([*ask, "--check", file], capture_output=True, text=True, check=False)

    assert file.read_bytes().startswith(b"%PDF-2.0")
    assert "R = 6" in told.stdout
    assert told.stdout.count("AESv3") == 3, "streams, strings and files (ISO 32000-2, 7.6)"
    assert checked.returncode == 0, checked.stdout + checked.stderr


@pytest.mark.parametrize(
    "wrong", ["", PASSPHRASE.lower(), PASSPHRASE[:-1], PASSPHRASE.replace("-", ""), "0" * 29, "owner"]
)
def test_a_wrong_passphrase_opens_nothing(mesh, wrong):
    octets = page_of(mesh).octets

    with pytest.raises(pypdfium2.PdfiumError):
        opened(octets, wrong)
    reader = pypdf.PdfReader(BytesIO(octets))
    assert not reader.decrypt(wrong)


def test_two_pages_of_one_mesh_have_no_stream_in_common(mesh):
    one, other = page_of(mesh).octets, page_of(mesh).octets
    first, second = (set(STREAM.findall(octets)) for octets in (one, other))

    assert len(first) > 5
    assert not first & second
    assert IDENTIFIER.search(one)[1] != IDENTIFIER.search(other)[1], (
        "it stays in clear, so it must say nothing"
    )


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        (Asked("Orla", "", "Noor"), "reason"),
        (Asked("Orla", "  ", "Noor"), "reason"),
        (Asked("Orla", "key " + "0F1E 2D3C " * 4, "Noor"), "reason"),
        (Asked("Orla", f"opened by {PASSPHRASE}", "Noor"), "reason"),
        (Asked("Orla", "for the safe", ""), "second"),
        (Asked("Orla", "for the safe", " orla "), "second"),
    ],
)
def test_no_page_without_a_reason_and_a_second_person(mesh, asked, word):
    with pytest.raises(SealedPageRefused, match=word) as refused:
        page_of(mesh, asked)

    assert PASSPHRASE not in str(refused.value)
    assert not JournalEntry.objects.filter(what="sealed page made").exists()


@pytest.mark.parametrize("passphrase", ["", "chosen by hand", PASSPHRASE[:-6]])
def test_no_page_under_a_passphrase_that_was_not_drawn(mesh, passphrase):
    with pytest.raises(SealedPageRefused, match="passphrase: it is not the one that was offered"):
        page_of(mesh, passphrase=passphrase)


def test_a_mesh_without_a_copy_has_no_page():
    with pytest.raises(SealedPageRefused, match="no snapshot that can be restored"):
        page_of(make.mesh())


def test_a_copy_whose_octets_are_gone_gives_none(mesh):
    mesh.snapshots.update(custody=Custody.GONE)

    with pytest.raises(SealedPageRefused, match="no snapshot that can be restored"):
        page_of(mesh)


def test_an_erased_client_gets_none(mesh, as_owner):
    erase_client(mesh.site.client, "contract ended", "Orla", "Noor", make.NOW)
    mesh.site.client.refresh_from_db()

    with pytest.raises(SealedPageRefused, match="was erased with its client"):
        page_of(mesh)
    assert as_owner.get(reverse("sealed-page", args=[mesh.code])).status_code == 403


def test_a_damaged_install_code_hides_no_other_secret(mesh):
    InstallCode.objects.update(sealed=b"x" * 60)

    text = opened(page_of(mesh).octets)

    assert "held,butdamaged" in text
    assert shown(documents.key(mesh.code)) in text


def test_a_device_that_left_is_not_on_it(mesh):
    gone = make.node(mesh, label="left behind", gone_since=make.NOW)
    enter(gone, codes.printed("gone"), "Noor", make.NOW)

    assert "leftbehind" not in opened(page_of(mesh).octets)


def test_it_says_between_which_days_the_key_was_changed(mesh):
    later = make.NOW + timedelta(days=3)
    take_in(mesh, later, network_key=documents.key("next"), key_sequence=1, outgoing_counter=90)

    text = opened(page_of(mesh, now=later).octets)

    assert shown(documents.key("next")) in text
    assert "between26March2027and29March2027" in text


def test_a_held_copy_of_another_key_is_no_change_of_the_key(mesh):
    before = make.snapshot(mesh, taken_at=make.NOW - timedelta(days=3), key_mark="0BADC0DE")
    before.grade, before.currency = Grade.HELD, Currency.UNJUDGED
    before.save()

    assert "Nochangeofthenetworkkeyisonrecord" in opened(page_of(mesh).octets)


def test_a_mesh_whose_only_copies_are_under_an_old_key_has_no_page(mesh):
    mesh.snapshots.update(currency=Currency.LOCKED_OUT)

    with pytest.raises(SealedPageRefused, match="no snapshot that can be restored"):
        page_of(mesh)


def test_the_journal_says_who_and_why_and_no_secret(mesh):
    page_of(mesh)

    line = JournalEntry.objects.get(what="sealed page made")
    assert (line.who, line.subject) == ("Orla", mesh.code)
    assert (line.details["reason"], line.details["second"]) == ("for the safe", "Noor")
    told = str(line.details)
    assert PASSPHRASE not in told
    assert codes.secrets_in(told.encode(), secrets_of(mesh)) == []


def test_nothing_of_it_is_kept(mesh, settings, tmp_path):
    before = {path for path in tmp_path.rglob("*") if path.is_file()}
    page_of(mesh)

    assert {path for path in tmp_path.rglob("*") if path.is_file()} == before
    assert not Sheet.objects.exists()


@pytest.mark.parametrize("count", [1, 60, 250])
def test_it_holds_meshes_of_any_size(count):
    mesh = make.mesh()
    take_in(mesh, make.NOW, nodes=documents.nodes(count))

    made = page_of(mesh)

    assert made.devices == count
    with pypdfium2.PdfDocument(made.octets, password=PASSPHRASE) as pdf:
        assert len(pdf) == {1: 1, 60: 2, 250: 5}[count]


def test_names_of_any_kind_stand_on_it_as_they_are(mesh):
    names = ["W" * 80, '<b>&"x"</b>', "ليلى حدّاد", "\U0001f600 lamp"]
    for node, name in zip(Node.objects.order_by("extended_address")[1:], names, strict=False):
        Node.objects.filter(pk=node.pk).update(label=name)

    text = opened(page_of(mesh).octets)

    assert '<b>&"x"</b>' in text
    assert "W" * 30 in text
