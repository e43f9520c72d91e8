"""A paper copy from the book to paper and back: printed, photographed, opened."""

import random
import re
from datetime import timedelta

import pypdfium2
import pytest
import zxingcpp
from django.core.management import CommandError, call_command
from django.urls import reverse
from PIL import Image, ImageDraw, ImageFilter

from fleet.models import CounterEvidence, EvidenceKind, How, JournalEntry
from fleet.queries.counters import counter_picture
from fleet.verbs.intake import Origin, receive
from reports.verbs.paper_copy import PaperRefused, print_paper_copy
from reports.verbs.passphrase import drawn_from
from tests import documents, make

pytestmark = pytest.mark.django_db

PASSPHRASE = drawn_from(bytes(range(25)))


@pytest.fixture
def mesh():
    row = make.mesh()
    receive(row, documents.document(row), Origin(How.UPLOAD, "Orla"), make.NOW)
    row.refresh_from_db()
    return row


@pytest.fixture
def pages(mesh):
    """The printed pages at 150 dots an inch."""
    printed = print_paper_copy(mesh, PASSPHRASE, "for the safe", "Orla", make.NOW)
    with pypdfium2.PdfDocument(printed.octets) as pdf:
        return [page.render(scale=150 / 72).to_pil().convert("L") for page in pdf]


@pytest.fixture
def restored(tmp_path, monkeypatch):
    """Photographs in, the command run, the document out."""
    monkeypatch.setenv("PAPER_PASSPHRASE", PASSPHRASE)

    def run(pictures: list[Image.Image]) -> bytes:
        scans = []
        for number, picture in enumerate(pictures):
            scans.append(str(tmp_path / f"scan-{number}.png"))
            picture.save(scans[-1])
        out = tmp_path / "document.json"
        call_command("paper-restore", *scans, "--out", str(out))
        return out.read_bytes()

    return run


def but_for_counters(document: bytes) -> bytes:
    return re.sub(rb'("outgoingCounter":\s*)\d+', rb"\1N", document)


def test_a_printed_copy_comes_back_with_its_counter_advanced(mesh, pages, restored, capsys):
    document = restored(pages)

    assert but_for_counters(document) == but_for_counters(documents.document(mesh))
    number = int(re.search(r"counter ([\d,]+), noted", capsys.readouterr().out)[1].replace(",", ""))
    assert CounterEvidence.objects.filter(mesh=mesh, value=number, kind=EvidenceKind.RESTORE).exists()
    assert f'"outgoingCounter":{number}'.encode() in document.replace(b" ", b"")


def test_a_bad_photograph_does(mesh, pages, restored):
    noise = random.Random(4)
    photos = []
    for page in pages:
        photo = page.rotate(6, expand=True, fillcolor=235).filter(ImageFilter.GaussianBlur(0.8))
        dots = ImageDraw.Draw(photo)
        for _ in range(3000):
            dots.point((noise.randrange(photo.width), noise.randrange(photo.height)), noise.randrange(256))
        photos.append(photo)

    assert but_for_counters(restored(photos)) == but_for_counters(documents.document(mesh))


def test_a_corner_torn_off_with_one_code_does_not_matter(mesh, pages, restored):
    first = pages[0].copy()
    top = _first_code_top(first)
    ImageDraw.Draw(first).rectangle((0, top, first.width // 3, top + first.width // 3), fill=255)

    assert but_for_counters(restored([first, *pages[1:]])) == but_for_counters(documents.document(mesh))


def _first_code_top(page: Image.Image) -> int:
    return min(found.position.top_left.y for found in zxingcpp.read_barcodes(page)) - 4


def test_a_second_restore_gets_a_higher_number(mesh, pages, restored, tmp_path, capsys):
    restored(pages)
    (tmp_path / "document.json").unlink()

    restored(pages)

    first, second = CounterEvidence.objects.filter(mesh=mesh, kind=EvidenceKind.RESTORE).order_by("id")[1:]
    assert second.value > first.value


def test_the_book_stays_above_what_the_paper_may_say(mesh):
    before = counter_picture(mesh, make.NOW)
    print_paper_copy(mesh, PASSPHRASE, "for the safe", "Orla", make.NOW)

    for hours in (0, 1, 15, 17, 40, 24 * 30):
        now = make.NOW + timedelta(hours=hours)
        days = (now.date() - make.NOW.date()).days + 1
        on_paper = before.start.value + before.per_day * days
        assert counter_picture(mesh, now).start.value > on_paper


@pytest.mark.parametrize(("passphrase", "reason"), [(PASSPHRASE, ""), ("chosen by hand", "for the safe")])
def test_no_paper_without_a_reason_or_with_a_chosen_passphrase(mesh, passphrase, reason):
    with pytest.raises(PaperRefused):
        print_paper_copy(mesh, passphrase, reason, "Orla", make.NOW)

    assert not CounterEvidence.objects.filter(kind=EvidenceKind.RESTORE).exists()


def test_a_mesh_without_a_copy_has_no_paper():
    with pytest.raises(PaperRefused, match="no snapshot that can be restored"):
        print_paper_copy(make.mesh(), PASSPHRASE, "for the safe", "Orla", make.NOW)


def test_the_page_gives_the_paper_and_the_journal_says_so(mesh, as_owner):
    address = reverse("paper-copy", args=[mesh.code])
    offered = as_owner.get(address).context["passphrase"]

    answer = as_owner.post(address, {"passphrase": offered, "reason": "for the safe"})

    assert answer.content.startswith(b"%PDF")
    assert "no-store" in answer["Cache-Control"]
    assert offered not in str(JournalEntry.objects.get(what="paper copy printed").details)


def test_a_partner_of_another_home_finds_nothing(mesh, as_stranger):
    assert as_stranger.get(reverse("paper-copy", args=[mesh.code])).status_code == 404


def test_a_scan_that_shows_nothing_is_said_plainly(tmp_path, monkeypatch):
    monkeypatch.setenv("PAPER_PASSPHRASE", PASSPHRASE)
    Image.new("L", (200, 200), 255).save(tmp_path / "empty.png")

    with pytest.raises(CommandError, match="neither a code nor a numbered line"):
        call_command("paper-restore", str(tmp_path / "empty.png"), "--out", str(tmp_path / "out.json"))

    assert not (tmp_path / "out.json").exists()


def test_an_erased_mesh_has_no_paper(mesh):
    mesh.site.client.erased_at = make.NOW

    with pytest.raises(PaperRefused, match="was erased with its client on 2027-03-26"):
        print_paper_copy(mesh, PASSPHRASE, "for the safe", "Orla", make.NOW)


@pytest.mark.parametrize("secret", [PASSPHRASE, "38, 56, D9, 11, " * 4])
def test_neither_passphrase_nor_key_goes_into_the_journal(mesh, secret):
    reason = f"opened by {secret}"
    with pytest.raises(PaperRefused, match="reason: "):
        print_paper_copy(mesh, PASSPHRASE, reason, "Orla", make.NOW)
    assert not JournalEntry.objects.filter(details__has_key="reason").exists()
