"""The tray and the journal."""

import re

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from fleet.models import TrayReason
from fleet.queries.journal_chain import head
from fleet.verbs.journal_chain import seal
from tests import make

pytestmark = pytest.mark.django_db


def page(client, name: str, **query) -> str:
    return client.get(reverse(name), query).content.decode()


def test_the_tray_says_that_nothing_waits(as_owner):
    assert "Nothing waits in the tray." in page(as_owner, "tray")


def test_a_waiting_document_shows_its_problems_by_place(as_owner):
    make.tray_item(
        make.mesh(), problems=[{"path": "$.channel", "value": "27", "expected": "a channel from 11 to 26"}]
    )
    html = page(as_owner, "tray")
    assert "$.channel" in html
    assert "a channel from 11 to 26" in html


def test_a_cleared_document_waits_no_more(as_owner):
    make.tray_item(make.mesh(), cleared_at=make.NOW)
    assert "Nothing waits in the tray." in page(as_owner, "tray")


def test_a_document_for_no_mesh_is_shown_to_people_of_the_firm(as_owner):
    make.tray_item(None, reason=TrayReason.NO_MESH)
    assert "One document waits in the tray." in page(as_owner, "tray")


def test_a_partner_sees_only_what_waits_for_their_homes(as_stranger, stranger):
    mine = make.mesh()
    stranger.sites.add(mine.site)
    make.tray_item(mine)
    make.tray_item(make.mesh())
    make.tray_item(None, reason=TrayReason.NO_MESH)
    assert "One document waits in the tray." in page(as_stranger, "tray")


@pytest.mark.parametrize("items", [1, 20])
def test_the_tray_takes_four_statements(as_owner, django_assert_num_queries, items):
    for _ in range(items):
        make.tray_item(make.mesh())
    with django_assert_num_queries(4):  # session, person, count, items
        page(as_owner, "tray")


def test_the_journal_shows_who_did_what(as_owner):
    make.journal_line(who="Pekka", what="push token made", subject="KELP-7-A")
    html = page(as_owner, "journal")
    assert "Pekka" in html
    assert "push token made" in html


def test_the_journal_can_be_read_about_one_thing(as_owner):
    make.journal_line(subject="KELP-7-A", what="drill held")
    make.journal_line(subject="GULL-5-A", what="spare moved")
    html = page(as_owner, "journal", about="KELP-7-A")
    assert "drill held" in html
    assert "spare moved" not in html


def test_the_journal_says_where_its_chain_ends(as_owner):
    make.journal_line()
    assert "chained" not in page(as_owner, "journal")
    seal(make.NOW)
    assert f"1: {head().digest[:8]} {head().digest[8:16]}" in re.sub(
        r"\s+", " ", strip_tags(page(as_owner, "journal"))
    )
