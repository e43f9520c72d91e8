"""A keep rule changed in a real browser: the effect, a second person, and copies kept by hand."""

import pytest
from playwright.sync_api import Page

from fleet.models import Custody, KeepRule, Pin, Snapshot
from sites.models import Role
from tests import make
from tests.browser.book import Book
from tests.browser.test_every_page import DESK, OFF_THE_EDGE, PHONE, TOO_SMALL, _broken_rules

LOOKS = [
    pytest.param({"viewport": PHONE, "color_scheme": "dark"}, id="phone-dark"),
    pytest.param({"viewport": DESK, "color_scheme": "light"}, id="desk-light"),
]


def broken(page: Page) -> list[str]:
    """What is wrong with the page as it stands."""
    off = ["off the edge"] if page.evaluate(OFF_THE_EDGE) else []
    small = page.evaluate(TOO_SMALL) if page.viewport_size == PHONE else []
    return [*_broken_rules(page, None), *small, *off]


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_a_large_change_is_shown_and_then_saved_by_two_people(reader: Page, book: Book):
    make.person(username="tomasz", role=Role.OFFICE)
    Pin.objects.filter(snapshot=None).delete()
    reader.goto(book.paths["keep-rule"])
    reader.fill("#id_days", "1")
    reader.click("button[value=show]")
    assert "would mark" in reader.locator("h1").inner_text()
    assert broken(reader) == []

    reader.click("main .act")
    assert "a second person must agree" in reader.locator(".wrong").inner_text()
    assert broken(reader) == []

    reader.fill("#id_second_name", "tomasz")
    reader.fill("#id_second_password", make.PASSWORD)
    reader.keyboard.press("Enter")
    reader.wait_for_url("**/keep-rules/")
    assert KeepRule.objects.filter(days=1).count() == 1


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_going_back_from_the_effect_keeps_what_was_filled_in(reader: Page, book: Book):
    reader.goto(book.paths["keep-rule"])
    reader.fill("#id_days", "1")
    reader.click("button[value=show]")

    reader.click("text=Change it once more")

    assert reader.input_value("#id_days") == "1"


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_all_marked_copies_are_kept_with_one_reason(reader: Page, book: Book):
    reader.goto(book.paths["mesh-keeping"])
    reader.fill("#keep_reason", "a slip of the rule")
    reader.keyboard.press("Enter")

    assert "kept until somebody takes the pin off" in reader.locator(".told").inner_text()
    assert not Snapshot.objects.filter(mesh=book.mesh, custody=Custody.DOOMED).exists()
