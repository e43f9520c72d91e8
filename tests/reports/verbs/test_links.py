"""Links to sheets: what they open, until when, and that nobody guesses one."""

import secrets
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from fleet.models import JournalEntry
from reports.models import SheetLink
from reports.verbs import links
from reports.verbs.links import LinkError, LinkOver, UnknownLink
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet():
    return make.sheet(make.site(code="KELP-7"))


def link_to(sheet, days=14, **given):
    return links.make(
        sheet, given.pop("for_whom", "Ingunn"), days, given.pop("may_sign", False), "Orla", make.NOW
    )


def test_a_link_opens_its_sheet_and_counts_how_often(sheet):
    row, token = link_to(sheet)

    for hours in (1, 2):
        assert links.open_link(token, make.NOW + timedelta(hours=hours)).sheet == sheet

    row.refresh_from_db()
    assert row.opens == 2
    assert row.opened == ["2027-03-26T09:00:00+00:00", "2027-03-26T10:00:00+00:00"]


def test_only_the_newest_times_are_kept(sheet):
    row, token = link_to(sheet)
    for minutes in range(links.TIMES_KEPT + 5):
        links.open_link(token, make.NOW + timedelta(minutes=minutes))

    row.refresh_from_db()
    assert (row.opens, len(row.opened)) == (links.TIMES_KEPT + 5, links.TIMES_KEPT)


def test_the_token_is_stored_nowhere(sheet):
    row, token = link_to(sheet)
    links.open_link(token, make.NOW)

    row.refresh_from_db()
    stored = " ".join(str(getattr(row, each.attname)) for each in SheetLink._meta.fields)
    written = " ".join(f"{line.who} {line.what} {line.details}" for line in JournalEntry.objects.all())
    assert token not in stored + written
    assert len(token) == links.TOKEN_LETTERS


def test_it_opens_nothing_from_the_moment_it_ends(sheet):
    _, token = link_to(sheet, days=1)

    assert links.open_link(token, make.NOW + timedelta(days=1, seconds=-1))
    with pytest.raises(LinkOver):
        links.open_link(token, make.NOW + timedelta(days=1))


def test_a_link_that_was_ended_opens_nothing_and_using_it_is_in_the_journal(sheet):
    row, token = link_to(sheet)
    links.revoke(row, "Orla", make.NOW)
    links.revoke(row, "Noor", make.NOW)

    with pytest.raises(LinkOver):
        links.open_link(token, make.NOW)
    told = list(JournalEntry.objects.order_by("pk").values_list("what", flat=True))
    assert told == ["link to sheet made", "link to sheet ended", "link to sheet refused"]


def test_a_link_to_an_erased_clients_sheet_opens_nothing(sheet):
    _, token = link_to(sheet)
    sheet.site.client.erased_at = make.NOW
    sheet.site.client.save()

    with pytest.raises(LinkOver):
        links.open_link(token, make.NOW)
    with pytest.raises(LinkError, match="erased"):
        link_to(sheet)


def test_none_of_a_thousand_forged_links_opens_anything(sheet):
    """Trade row L1. Half are drawn at random, half are a good one with one letter changed."""
    _, token = link_to(sheet)
    forged = [secrets.token_urlsafe(32) for _ in range(500)]
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    for at in range(500):
        place = at % len(token)
        other = letters[(letters.index(token[place]) + 1 + at // len(token)) % 64]
        forged.append(token[:place] + other + token[place + 1 :])
    assert token not in forged

    passed = 0
    for each in forged:
        try:
            links.open_link(each, make.NOW)
            passed += 1
        except UnknownLink:
            pass

    assert (len(set(forged)), passed) == (1000, 0)
    assert links.open_link(token, make.NOW)


@pytest.mark.parametrize("nothing", ["", " ", "#", "x" * 100_000])
def test_what_is_no_token_opens_nothing(sheet, nothing):
    with pytest.raises(UnknownLink):
        links.open_link(nothing, make.NOW)


@pytest.mark.parametrize("days", [0, -1, 91])
def test_days_out_of_bounds_are_refused(sheet, days):
    with pytest.raises(LinkError, match=rf"days: {days}; right is 1 to 90"):
        link_to(sheet, days=days)
    assert not SheetLink.objects.exists()


@pytest.mark.parametrize("name", ["", "  ", "x" * 121])
def test_a_link_is_for_somebody(sheet, name):
    with pytest.raises(LinkError, match="for whom"):
        link_to(sheet, for_whom=name)


def test_the_token_stands_behind_the_mark_that_is_never_sent():
    address = links.address_of("TOKEN", "https://book.example/")

    assert address == "https://book.example/hand/#TOKEN"


def test_a_link_that_ends_before_it_begins_is_no_row(sheet):
    row = SheetLink(
        sheet=sheet, digest=b"1", for_whom="I", made_at=make.NOW, made_by="O", expires_at=make.NOW
    )

    with pytest.raises(ValidationError):
        row.validate_constraints()


@pytest.mark.parametrize("name", ["\u200b", "Ing\u202eunn", "Ing\x07unn"])
def test_a_link_is_for_a_name_that_can_be_seen_as_it_is(sheet, name):
    with pytest.raises(LinkError, match=r"for whom: .*; right is a name"):
        link_to(sheet, for_whom=name)
    assert not SheetLink.objects.exists()


def test_a_replaced_sheet_is_handed_over_for_reading_only(sheet):
    newer = make.sheet(sheet.site, revision=2, replaces=sheet)

    with pytest.raises(LinkError, match=f"may sign: {sheet.number} was replaced by {newer.number}"):
        link_to(sheet, may_sign=True)
    assert link_to(sheet)[0].may_sign is False
