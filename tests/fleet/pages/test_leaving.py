"""The page on which an agreement ends, step by step."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import JournalEntry
from fleet.planning.leaving import Step
from fleet.verbs import leaving as verbs
from tests import make

pytestmark = pytest.mark.django_db


def ending(days: int, **given):
    home = make.site(**given)
    return make.agreement(
        home, ends_on=timezone.localdate() + timedelta(days=days), starts_on=date(2020, 1, 1)
    )


def address(agreement, step: str = "") -> str:
    code = agreement.site.code
    if step:
        return reverse("leaving-tick", args=[code, agreement.pk, step])
    return reverse("leaving", args=[code, agreement.pk])


def test_the_first_line_says_what_is_due(as_owner):
    html = as_owner.get(address(ending(9))).content.decode()

    assert "ends in 9 days; " in html
    assert "steps are due" in html


def test_a_step_that_is_done_says_who_did_it(as_owner):
    agreement = ending(9)

    html = as_owner.post(address(agreement, "pack"), {"note": "by hand"}, follow=True).content.decode()

    assert "by Orla Hentsch" in html
    assert "by hand" in html


def test_a_tick_can_be_taken_back(as_owner):
    agreement = ending(9)
    as_owner.post(address(agreement, "pack"))

    as_owner.post(address(agreement, "pack"), {"take_back": "1"})

    assert not agreement.leaving_steps.exists()


def test_ending_access_ends_push_tokens_and_named_partners(as_owner, stranger):
    agreement = ending(0)
    token = make.push_token(make.mesh(site=agreement.site))
    agreement.site.people.add(stranger)

    as_owner.post(address(agreement, "access"))

    token.refresh_from_db()
    assert token.revoked_at is not None
    assert not agreement.site.people.exists()


def test_a_second_tick_changes_nothing():
    agreement = ending(9)
    now = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)
    verbs.tick(agreement, Step.PACK, "first", "Orla", now.date(), now)

    verbs.tick(agreement, Step.PACK, "second", "Noor", now.date(), now)

    assert agreement.leaving_steps.get().note == "first"
    assert JournalEntry.objects.filter(what="leaving step done").count() == 1


@pytest.mark.parametrize("step", ["notice", "nonsense"])
def test_what_is_no_step_for_people_is_not_found(as_owner, step):
    assert as_owner.post(address(ending(9), step)).status_code == 404


def test_an_agreement_without_an_end_has_no_such_page(as_owner):
    agreement = make.agreement(make.site())

    assert as_owner.get(address(agreement)).status_code == 404


def test_a_partner_of_another_home_finds_nothing(as_stranger):
    assert as_stranger.get(address(ending(9))).status_code == 404


def test_who_may_only_read_cannot_tick(as_stranger, stranger):
    agreement = ending(9)
    agreement.site.people.add(stranger)

    assert "Note it" not in as_stranger.get(address(agreement)).content.decode()
    assert as_stranger.post(address(agreement, "pack")).status_code == 403


def test_the_list_says_how_many_end_within_90_days_and_what_is_next(as_owner):
    soon, later = ending(9, code="KELP-7"), ending(90, code="GULL-5")
    ending(91, code="MOSS-1")
    ending(-1, code="FERN-2")

    html = as_owner.get(reverse("leavings")).content.decode()

    assert "2 agreements end within 90 days" in html
    assert html.index(address(soon)) < html.index(address(later))
    assert "MOSS-1" not in html
    assert "FERN-2" not in html
    assert "Offer to go on" in html


def test_the_list_is_on_the_menu_of_the_board(as_owner):
    assert f'href="{reverse("leavings")}"' in as_owner.get(reverse("board")).content.decode()


def test_an_empty_list_says_so(as_owner):
    assert "No agreement ends within 90 days." in as_owner.get(reverse("leavings")).content.decode()


def test_a_partner_sees_the_agreements_of_named_homes_only(as_stranger, stranger):
    mine, other = ending(9, code="KELP-7"), ending(9, code="GULL-5")
    stranger.sites.add(mine.site)

    html = as_stranger.get(reverse("leavings")).content.decode()

    assert address(mine) in html
    assert address(other) not in html


@pytest.mark.parametrize("count", [1, 10])
def test_the_list_takes_six_statements(as_owner, django_assert_num_queries, count):
    for _ in range(count):
        ending(9)
    with django_assert_num_queries(6):  # session, person, agreements, steps, agreements of the homes, holds
        as_owner.get(reverse("leavings"))


def test_a_hold_on_a_mesh_holds_the_erasing_too(as_owner):
    agreement = ending(-31)
    make.pin(make.mesh(site=agreement.site), reason="the court asked")

    html = as_owner.get(address(agreement)).content.decode()

    assert "Held: since" in html
    assert "the court asked" in html


def test_every_hold_is_named(as_owner):
    agreement = ending(-31)
    make.pin(make.mesh(site=agreement.site), reason="the court asked")
    client = agreement.site.client
    client.held_since, client.hold_reason = date(2027, 1, 1), "the insurer asked"
    client.save()

    html = as_owner.get(address(agreement)).content.decode()

    assert "the insurer asked" in html
    assert "the court asked" in html
