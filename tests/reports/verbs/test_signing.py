"""Signatures: bound to the digests of one revision, and told as not valid for any later one (trade row W5)."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.db import IntegrityError, transaction
from pypdf import PdfReader

from fleet.models import JournalEntry
from reports.models import Signature
from reports.queries.life import signed
from reports.verbs import links
from reports.verbs.signing import Signer, SignError, sign, slip_of
from tests import make
from tests.reports.reading import squeezed

pytestmark = pytest.mark.django_db

INGUNN = Signer(
    "Ingunn Sæther", "client", open_defects="hall lamp flickers", not_tested="smoke alarm: asleep child"
)
DRAWN = Signer("Ingunn Sæther", "client", ((100, 100, 200, 300, 300, 100), (400, 200)))


@pytest.fixture
def sheet():
    return make.sheet(make.site(code="KELP-7"))


def text_of(octets):
    return "".join(page.extract_text() for page in PdfReader(BytesIO(octets)).pages)


def test_a_signature_copies_the_digests_of_the_sheet_and_says_who_when_and_where(sheet, technician):
    row = sign(sheet, INGUNN, technician, make.NOW)

    row.refresh_from_db()
    assert (row.sheet_digest, row.sheet_sha256) == (sheet.digest, sheet.sha256)
    assert (row.name, row.role, row.method) == ("Ingunn Sæther", "client", "typed")
    assert (row.signed_at, row.zone, row.account) == (make.NOW, "Europe/Oslo", technician)
    line = JournalEntry.objects.get(what="sheet signed")
    assert (line.subject, line.details["number"], line.details["sha256"]) == (
        "KELP-7",
        sheet.number,
        sheet.sha256,
    )


def test_a_drawn_one_keeps_its_strokes(sheet, technician):
    row = sign(sheet, DRAWN, technician, make.NOW)

    row.refresh_from_db()
    assert (row.method, row.strokes) == ("drawn", [[100, 100, 200, 300, 300, 100], [400, 200]])


def test_through_a_link_it_names_the_link(sheet):
    link, _ = links.make(sheet, "Ingunn", 14, True, "Orla", make.NOW)

    row = sign(sheet, INGUNN, link, make.NOW)

    assert (row.link, row.account) == (link, None)
    assert str(link.uid)[:8] in text_of(slip_of(row))


def test_a_newer_revision_shows_that_the_signature_is_not_valid_for_it(sheet, technician):
    sign(sheet, INGUNN, technician, make.NOW)
    newer = make.sheet(sheet.site, revision=2, replaces=sheet, body=b"%PDF-1.7 other")

    found = signed([sheet, newer])

    assert [each.name for each in found[sheet.pk].valid] == ["Ingunn Sæther"]
    assert found[newer.pk].valid == ()
    assert [(each.name, each.sheet.revision) for each in found[newer.pk].earlier] == [("Ingunn Sæther", 1)]


def test_a_signature_does_not_count_where_the_digests_are_not_those_of_the_sheet(sheet, technician):
    row = sign(sheet, INGUNN, technician, make.NOW)
    Signature.objects.filter(pk=row.pk).update(sheet_sha256="0" * 64)

    assert signed([sheet])[sheet.pk].valid == ()


def test_a_replaced_sheet_is_not_signed(sheet, technician):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    with pytest.raises(SignError, match=newer.number):
        sign(sheet, INGUNN, technician, make.NOW)
    assert not Signature.objects.exists()


def test_a_sheet_whose_file_was_changed_is_not_signed(sheet, technician):
    with sheet.file.storage.open(sheet.file.name, "wb") as file:
        file.write(b"%PDF-1.7 something else")

    with pytest.raises(SignError, match="not the one that was issued"):
        sign(sheet, INGUNN, technician, make.NOW)


@pytest.mark.parametrize(
    ("signer", "field"),
    [
        (Signer(" ", "client"), "name"),
        (Signer("x" * 121, "client"), "name"),
        (Signer("\u200b", "client"), "name"),
        (Signer("Ingunn", ""), "as"),
        (Signer("Ingunn", "burglar"), "as"),
    ],
)
def test_name_and_role_are_asked_for(sheet, technician, signer, field):
    with pytest.raises(SignError, match=rf"^{field}: "):
        sign(sheet, signer, technician, make.NOW)


@pytest.mark.parametrize(
    "broken", [{"method": "drawn", "strokes": []}, {"method": "typed", "strokes": [[1, 1]]}]
)
def test_no_row_says_drawn_without_strokes(sheet, technician, broken):
    row = sign(sheet, INGUNN, technician, make.NOW)

    with pytest.raises(IntegrityError), transaction.atomic():
        Signature.objects.filter(pk=row.pk).update(**broken)


def test_the_slip_names_the_sheet_by_number_and_digests_and_says_who_when_and_how(sheet, technician):
    said = squeezed(text_of(slip_of(sign(sheet, INGUNN, technician, make.NOW))))

    for part in (
        sheet.number,
        "revision 1",
        sheet.sha256,
        sheet.digest[:16].upper(),
        "Ingunn Sæther",
        "client",
        "26 March 2027",
        "09:00",
        "Europe/Oslo",
        "UTC+01:00",
        "name typed",
        "hall lamp flickers",
        "smoke alarm: asleep child",
    ):
        assert squeezed(part) in said, part


def test_the_slip_is_one_page_and_the_same_each_time(sheet, technician):
    row = sign(sheet, DRAWN, technician, make.NOW)

    octets = slip_of(row)
    assert slip_of(Signature.objects.get(pk=row.pk)) == octets
    assert len(PdfReader(BytesIO(octets)).pages) == 1


def test_the_strokes_are_on_the_slip_as_lines(sheet, technician):
    drawn = slip_of(sign(sheet, DRAWN, technician, make.NOW))
    typed = slip_of(sign(sheet, INGUNN, technician, make.NOW + timedelta(minutes=1)))

    assert _lines(drawn) - _lines(typed) >= 3


def _lines(octets):
    return PdfReader(BytesIO(octets)).pages[0].get_contents().get_data().count(b" l")


def test_the_very_same_again_is_no_second_signature(sheet, technician, owner):
    link, _ = links.make(sheet, "Ingunn", 14, True, "Orla", make.NOW)
    later = make.NOW + timedelta(hours=1)
    first = sign(sheet, DRAWN, technician, make.NOW)

    assert sign(sheet, DRAWN, technician, later) == first
    assert JournalEntry.objects.filter(what="sheet signed").count() == 1
    for signer, through in ((DRAWN, owner), (DRAWN, link), (INGUNN, technician)):
        assert sign(sheet, signer, through, later) != first
    assert Signature.objects.count() == 4


@pytest.mark.parametrize(
    ("tag", "role", "through"),
    [("en", "deputy of the client", "for Ingunn"), ("de", "in Vertretung des Kunden", "für Ingunn")],
)
def test_the_slip_says_role_and_link_in_the_language_of_the_sheet(sheet, tag, role, through):
    type(sheet).objects.update(language=tag)
    sheet.refresh_from_db()
    link, _ = links.make(sheet, "Ingunn", 14, True, "Orla", make.NOW)
    row = sign(sheet, Signer("Ola", "deputy"), link, make.NOW)

    said = squeezed(text_of(slip_of(row)))

    assert row.role == "deputy"
    assert squeezed(role) in said
    assert squeezed(f"{str(link.uid)[:8]}, {through}") in said
