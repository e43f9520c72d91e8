import re
from datetime import timedelta
from io import BytesIO, StringIO

import pdfplumber
import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from fleet.mesh.codes import read_sheet_number
from fleet.models import How, JournalEntry, Mesh
from fleet.verbs.intake import Origin, receive
from reports.models import Sheet, SheetKind, SheetSerial
from reports.queries.subjects import handover_of, recovery_of
from reports.verbs import issuing
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
HANDOVER, RECOVERY = SheetKind.HANDOVER, SheetKind.RECOVERY


@pytest.fixture
def mesh():
    make.firm()
    home = make.site(code="KELP-7", client=make.client(name="Ελένη <b>Ямщикова</b> & Söhne"))
    make.contact(home, name="Mere Tāmoana")
    make.agreement(home)
    mesh = make.mesh(site=home, safety_relevant=True)
    make.service(mesh)
    for day in (3, 2, 1):
        taken_at = make.NOW - DAY * day
        body = document(mesh, taken_at, outgoing_counter=2_000_000 - day * 200_000)
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    lock = mesh.nodes.order_by("pk").first()
    lock.safety_kind, lock.by_hand, lock.label = "lock", "turn the key", "front door"
    lock.save()
    return Mesh.objects.select_related("site__client").get()


def text_of(sheet: Sheet) -> str:
    with sheet.file.open("rb") as held, pdfplumber.open(BytesIO(held.read())) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def test_a_handover_sheet_says_what_the_rows_say(mesh):
    said = text_of(issuing.issue(handover_of(mesh.site), "Orla", make.NOW))

    assert "Ελένη <b>Ямщикова</b> & Söhne" in said
    assert "12 devices" in said
    assert "front door" in said
    assert "Mere Tāmoana" in said
    assert mesh.periods.get().radio.serial in said


def test_a_recovery_sheet_says_which_copy_and_which_number(mesh):
    sheet = issuing.issue(recovery_of(mesh), "Orla", make.NOW)
    said = text_of(sheet)

    newest = mesh.snapshots.order_by("-taken_at").first()
    assert newest.sha256[:4].upper() in said
    assert "turn the key" in said
    number = int(re.search(r"\b(\d{1,3}(?:,\d{3})+)\b", said)[1].replace(",", ""))
    assert number > 2_000_000


def test_a_handover_sheet_shows_the_wifi_that_a_survey_heard(mesh):
    make.wifi_heard(mesh, channel=6)

    said = text_of(issuing.issue(handover_of(mesh.site), "Orla", make.NOW))

    assert "Wi-Fi heard at the home on 25 March 2027" in said


def test_the_number_to_write_holds_to_the_end_of_the_day_of_issue(mesh):
    """By hand: two slopes are too few for a rate; so 50/s doubled from the newest evidence, plus 65,536."""
    said = text_of(issuing.issue(recovery_of(mesh), "Orla", make.NOW))

    # 2027-03-25 08:00 UTC to midnight in Oslo, 2027-03-26 23:00 UTC, is 39 h: 1,800,000 + 2*50*140,400 + 65,536
    assert f"{1_800_000 + 14_040_000 + 65_536:,}" in said


def test_numbers_have_a_check_character_and_never_repeat(mesh):
    first = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)
    second = issuing.issue(recovery_of(mesh), "Orla", make.NOW)

    assert read_sheet_number(first.number).kind == "H"
    assert read_sheet_number(second.number).kind == "R"


def test_nothing_changed_gives_the_same_sheet_again(mesh):
    first = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)

    assert issuing.issue(handover_of(mesh.site), "Orla", make.NOW + timedelta(hours=1)) == first


def test_one_changed_fact_makes_a_new_revision_that_replaces_the_old(mesh):
    first = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)
    mesh.site.contacts.update(name="Tobias")

    second = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)

    assert (second.revision, second.replaces) == (2, first)
    assert "replaces revision 1" in text_of(second).lower()
    assert text_of(first)


def test_the_page_count_is_the_files(mesh):
    sheet = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)

    with sheet.file.open("rb") as held:
        assert sheet.pages == len(PdfReader(held).pages)


def test_equal_facts_give_equal_octets(mesh):
    first = issuing.issue(recovery_of(mesh), "Orla", make.NOW)
    with first.file.open("rb") as held:
        before = held.read()
    Sheet.objects.all().delete()
    SheetSerial.objects.all().delete()

    again = issuing.issue(recovery_of(mesh), "Orla", make.NOW)

    with again.file.open("rb") as held:
        assert held.read() == before


def test_no_key_is_on_any_sheet(mesh):
    for sheet in (
        issuing.issue(handover_of(mesh.site), "Orla", make.NOW),
        issuing.issue(recovery_of(mesh), "Orla", make.NOW),
    ):
        with sheet.file.open("rb") as held:
            body = held.read()
        said = re.sub(r"\s", "", text_of(sheet)).lower()
        for name in (mesh.code, "link 4096"):
            assert key(name) not in body
            assert key(name).hex() not in said


def test_a_round_renews_what_is_stale_and_leaves_the_rest(mesh):
    sheets = issuing.issue_missing(make.NOW, "Orla")
    assert [sheet.kind for sheet in sheets] == [HANDOVER, RECOVERY]
    assert issuing.renew_stale(make.NOW + DAY, "Orla") == []
    mesh.site.parking = "behind the crane"
    mesh.site.save()

    renewed = issuing.renew_stale(make.NOW + DAY, "Orla")

    assert [sheet.kind for sheet in renewed] == [RECOVERY]
    assert renewed[0].replaces.stale_since == make.NOW + DAY


def test_a_new_snapshot_alone_makes_no_sheet_stale(mesh):
    issuing.issue_missing(make.NOW, "Orla")
    receive(mesh, document(mesh, make.NOW, outgoing_counter=2_100_000), Origin(How.PUSH, "x"), make.NOW)

    assert issuing.renew_stale(make.NOW + timedelta(hours=1), "Orla") == []


def test_issuing_leaves_a_line_in_the_journal(mesh):
    sheet = issuing.issue(handover_of(mesh.site), "Orla", make.NOW)

    line = JournalEntry.objects.get(what="sheet issued")
    assert (line.who, line.subject, line.details["number"]) == ("Orla", "KELP-7", sheet.number)


def test_a_home_without_anything_recorded_still_has_its_papers():
    bare = make.mesh()

    for sheet in (
        issuing.issue(handover_of(bare.site), "Orla", make.NOW),
        issuing.issue(recovery_of(bare), "Orla", make.NOW),
    ):
        assert "not recorded" in text_of(sheet).lower()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper_size_is_the_homes(mesh, paper):
    mesh.site.paper_size = paper
    mesh.site.save()

    sheet = issuing.issue(recovery_of(mesh), "Orla", make.NOW)

    with sheet.file.open("rb") as held:
        width = float(PdfReader(held).pages[0].mediabox.width)
    assert round(width) == {"A4": 595, "Letter": 612}[paper]


def test_the_sheet_command_writes_the_pdf(mesh, tmp_path):
    out = StringIO()
    call_command("sheet", "recovery", "kelp-7", "--out", str(tmp_path / "r.pdf"), stdout=out)

    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF-")
    assert out.getvalue().startswith("R-000001-")


def test_the_sheet_command_takes_a_meshs_code_for_its_home(mesh, tmp_path):
    call_command("sheet", "handover", "KELP-7-A", "--out", str(tmp_path / "h.pdf"), stdout=StringIO())

    assert (tmp_path / "h.pdf").exists()


def test_the_sheet_command_says_which_home_is_not_there(tmp_path):
    with pytest.raises(CommandError, match="no home MOSS-1"):
        call_command("sheet", "handover", "MOSS-1", "--out", str(tmp_path / "h.pdf"))


def test_a_place_that_cannot_be_written_is_said(mesh, tmp_path):
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("sheet", "handover", "KELP-7", "--out", str(tmp_path / "no" / "h.pdf"))
