"""The certificate that a client was erased, from rows."""

import re

import pytest

from fleet.mesh.codes import read_sheet_number
from fleet.models import Erasure, EvidenceKind, How
from fleet.queries import erasure as in_words
from fleet.verbs.erase import erase_client
from fleet.verbs.intake import Origin, receive
from reports.facts import erasure as paper
from reports.facts.errors import FactsError
from reports.facts.head import Issue
from reports.queries.erasure import COUNTED, erasure_facts
from reports.queries.subjects import Subject, again, erasure_of
from reports.verbs import issuing
from tests import make
from tests.documents import document, key
from tests.reports.reading import squeezed, text_of

pytestmark = pytest.mark.django_db

STREET = "14 Nobody's Business"


@pytest.fixture
def mesh():
    make.firm()
    owner = make.client(name="Ótta <b> Sæther", phone="+47 99 11 22 33", email="otta@example.example")
    home = make.site(code="KELP-7", client=owner, address_lines=STREET, name="boathouse")
    make.contact(home, name="Grim Neighbour")
    network = make.mesh(site=home)
    receive(network, document(network), Origin(How.UPLOAD, "Noor"), make.NOW)
    return network


@pytest.fixture
def row(mesh) -> Erasure:
    return erase_client(mesh.site.client, "the agreement ended", "Orla Hentsch", "Tomasz Ibe", make.NOW)


def facts(row) -> paper.ErasureFacts:
    subject = erasure_of(row)
    return erasure_facts(subject, Issue("E-000001-0", 1, subject.there(make.NOW)))


def said(row) -> str:
    with issuing.issue(erasure_of(row), "Orla", make.NOW).file.open("rb") as held:
        return text_of(held.read())


def test_an_erased_client_gets_a_certificate_that_begins_with_e(row):
    sheet = issuing.issue(erasure_of(row), "Orla", make.NOW)

    assert read_sheet_number(sheet.number).kind == "E"
    assert (sheet.client, sheet.site, sheet.mesh) == (row.client, None, None)
    assert again(sheet).erasure == row


def test_it_says_what_went_when_and_who_did_it(row):
    printed = said(row)

    assert "1snapshot" in printed
    assert "26March2027,09:00(Europe/Oslo,UTC+01:00)" in printed
    assert "OrlaHentsch" in printed
    assert "TomaszIbe" in printed
    assert "theagreementended" in printed


def test_every_erased_copy_stands_there_by_its_whole_digest(row):
    assert row.copies
    printed = said(row)

    assert [each["sha256"] for each in row.copies if each["sha256"].upper() not in printed] == []


def test_nothing_personal_but_the_clients_name_stands_there(mesh, row):
    printed = said(row)

    assert squeezed("Ótta <b> Sæther") in printed
    private = (STREET, "Grim Neighbour", "+47 99 11 22 33", "otta@example.example", "boathouse", "thing 1")
    assert [text for text in private if squeezed(text) in printed] == []


def test_until_the_ring_is_renewed_it_is_not_yet_purge(row):
    assert facts(row).still_opens
    printed = said(row)

    assert "thisisNOTYETPurge" in printed
    assert "STILLOPEN" in printed


def test_once_the_ring_was_renewed_purge_is_claimed_as_far_as_the_standard_allows(row):
    first = issuing.issue(erasure_of(row), "Orla", make.NOW)
    row.ring_keys, row.ring_renewed_at = ["a key that is gone"], make.NOW
    row.save()

    second = issuing.issue(erasure_of(row), "Orla", make.NOW)

    assert (second.revision, second.replaces) == (2, first)
    printed = said(row)
    assert "countsasPurgeonlyasfaras" in printed
    assert "thekeyringwasrenewedon26March2027" in printed


def test_where_nothing_was_sealed_no_key_is_said_to_be_destroyed():
    row = erase_client(make.client(), "entered by mistake", "Orla", "Tomasz", make.NOW)

    printed = said(row)

    assert "Nothingwaseversealedforthisclient" in printed
    assert "Purge" not in printed


def test_what_was_given_out_remains(mesh):
    make.evidence(mesh, 5, kind=EvidenceKind.RESTORE)
    row = erase_client(mesh.site.client, "ended", "Orla", "Tomasz", make.NOW)

    kinds = {each.what: each.count for each in facts(row).remains}

    assert kinds[paper.Stays.GIVEN_OUT] == 1
    assert paper.Stays.RECORDS in kinds


def test_the_certificate_counts_what_the_erasure_counts(row):
    """A new name on either side must be given to the other."""
    assert {each.value for each in paper.Went} == set(in_words.WENT)
    assert {each.value for each in COUNTED} == set(row.remains)


def test_the_paper_names_as_many_remainders_as_the_page(row):
    assert len(facts(row).remains) == len(in_words.remains(row))


def test_there_is_no_certificate_of_a_client_who_was_not_erased():
    owner = make.client()
    subject = Subject("erasure", str(owner.uid), "x", "UTC", "en", "A4", client=owner)

    with pytest.raises(FactsError, match="nothing was erased"):
        erasure_facts(subject, Issue("E-000001-0", 1, make.NOW))


def test_a_key_ring_that_cannot_be_read_is_said(row, settings, tmp_path):
    settings.KEYRING_FILE = tmp_path / "ring"
    settings.KEYRING_FILE.write_text("no ring")

    with pytest.raises(FactsError, match="key ring: "):
        issuing.issue(erasure_of(row), "Orla", make.NOW)


def test_no_key_is_on_it(mesh, row):
    with issuing.issue(erasure_of(row), "Orla", make.NOW).file.open("rb") as held:
        body = held.read()
    printed = re.sub(r"\s", "", text_of(body)).lower()
    for name in (mesh.code, *(f"link {0x1000 + place}" for place in range(12))):
        assert key(name) not in body
        assert key(name).hex() not in printed
