"""Clients, and the forms with which a firm enters a home."""

import pytest
from django.urls import reverse

from fleet.models import JournalEntry
from sites.models import Agreement, Client, Contact, Site
from tests import make

pytestmark = pytest.mark.django_db

CLIENT = {"name": "Ελένη Βασιλάκη", "language": "el"}
SITE = {
    "code": "salt-9",
    "name": "terraces",
    "address_lines": "Χώρα 12\nNaxos",
    "country": "GR",
    "time_zone": "Europe/Athens",
    "paper_size": "A4",
}


def test_a_client_is_entered_and_shown(as_owner):
    answer = as_owner.post(reverse("client-new"), CLIENT, follow=True)
    assert '<bdi lang="el">Ελένη Βασιλάκη</bdi> has no home in the book.' in answer.content.decode()


def test_entering_a_client_leaves_a_journal_line_without_what_was_typed(as_owner, owner):
    as_owner.post(reverse("client-new"), CLIENT)
    line = JournalEntry.objects.get()
    client = Client.objects.get()
    assert (line.who, line.what, line.subject) == (str(owner), "client entered", str(client.uid))
    assert "Βασιλάκη" not in str(line.details)


def test_a_home_is_entered_with_its_code_in_capitals(as_owner):
    client = make.client()
    as_owner.post(reverse("site-new", args=[client.uid]), SITE)
    assert Site.objects.get().code == "SALT-9"


def test_a_code_that_is_taken_is_refused_beside_its_field(as_owner):
    make.site(code="SALT-9")
    answer = as_owner.post(reverse("site-new", args=[make.client().uid]), SITE)
    assert 'id="id_code_error"' in answer.content.decode()
    assert Site.objects.count() == 1


def test_half_a_position_is_refused_with_a_sentence(as_owner):
    answer = as_owner.post(reverse("site-new", args=[make.client().uid]), {**SITE, "latitude": "37.1"})
    assert "Give both latitude" in answer.content.decode()


def test_an_offset_is_no_time_zone(as_owner):
    as_owner.post(reverse("site-new", args=[make.client().uid]), {**SITE, "time_zone": "UTC+2"})
    assert not Site.objects.exists()


def test_the_code_of_a_home_stays_when_the_home_is_changed(as_owner):
    home = make.site(code="KELP-7")
    as_owner.post(reverse("site-change", args=["KELP-7"]), {**SITE, "code": "OTHER-1", "name": "new name"})
    home.refresh_from_db()
    assert (home.code, home.name) == ("KELP-7", "new name")


def test_a_contact_is_entered_for_the_home(as_owner):
    home = make.site()
    typed = {"kind": "emergency", "name": "Next door", "phone": "+44 1632 960123", "call_order": 2}
    as_owner.post(reverse("contact-new", args=[home.code]), typed)
    assert Contact.objects.get().site == home


def test_a_contact_is_struck_out(as_owner):
    contact = make.contact(make.site())
    as_owner.post(reverse("contact-strike", args=[contact.site.code, contact.pk]))
    assert not Contact.objects.exists()


def test_a_contact_is_changed_only_under_its_own_home(as_owner):
    contact = make.contact(make.site())
    answer = as_owner.get(reverse("contact-change", args=[make.site().code, contact.pk]))
    assert answer.status_code == 404


def test_an_agreement_that_ends_before_it_starts_is_refused(as_owner):
    home = make.site()
    typed = {
        "starts_on": "2027-01-01",
        "ends_on": "2026-01-01",
        "notice_days": 30,
        "recovery_point_hours": 24,
        "recovery_time_minutes": 240,
        "drill_interval_days": 365,
    }
    answer = as_owner.post(reverse("agreement-new", args=[home.code]), typed)
    assert "The agreement ends before it starts." in answer.content.decode()
    assert not Agreement.objects.exists()


def test_errors_stand_in_a_summary_that_leads_to_the_field(as_owner):
    page = as_owner.post(reverse("client-new"), {**CLIENT, "phone": "12"}).content.decode()
    assert '<a href="#id_phone">Phone</a>' in page
    assert 'aria-describedby="id_phone_helptext id_phone_error"' in page


def test_a_subcontractor_may_not_enter_a_client(as_stranger):
    assert as_stranger.get(reverse("client-new")).status_code == 403


def test_a_name_with_markup_is_written_as_text(as_owner):
    client = make.client(name="<script>alert(1)</script>")
    page = as_owner.get(reverse("client", args=[client.uid])).content.decode()
    assert "<script>alert" not in page


@pytest.mark.parametrize("clients", [1, 40])
def test_the_list_of_clients_takes_the_same_statements_whatever_its_length(
    as_owner, django_assert_num_queries, clients
):
    for _ in range(clients):
        make.site()
    with django_assert_num_queries(6):  # session, person, count, clients, their homes, erased
        as_owner.get(reverse("clients"))


def test_the_first_line_counts_those_in_care_and_the_erased_apart(as_owner):
    for _ in range(2):
        make.client()
    make.client(erased_at=make.NOW)

    assert (
        "We look after 2 clients; one more was erased." in as_owner.get(reverse("clients")).content.decode()
    )


def test_a_book_of_erased_clients_looks_after_none(as_owner):
    make.client(erased_at=make.NOW)

    assert "We look after no client; one was erased." in as_owner.get(reverse("clients")).content.decode()
