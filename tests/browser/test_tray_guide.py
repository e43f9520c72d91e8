"""The proposal of a waiting document, tried and confirmed in a real browser."""

import pytest
from playwright.sync_api import Page

from fleet.models import FieldGuideRow
from tests.browser.book import Book
from tests.browser.test_every_page import DESK, OFF_THE_EDGE, PHONE, TOO_SMALL, _broken_rules

LOOKS = [
    pytest.param({"viewport": PHONE, "color_scheme": "dark"}, id="phone-dark"),
    pytest.param({"viewport": DESK, "color_scheme": "light"}, id="desk-light"),
]


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_choices_that_are_open_break_no_rule_and_stay_on_the_page(reader: Page, book: Book):
    reader.goto(book.paths["tray-item"])

    for summary in reader.locator("summary").all():
        summary.click()

    assert _broken_rules(reader, None) == []
    assert not reader.evaluate(OFF_THE_EDGE)
    assert reader.evaluate(TOO_SMALL) == []


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_what_was_tried_breaks_no_rule_and_is_confirmed_with_one_button(reader: Page, book: Book):
    reader.goto(book.paths["tray-item"])

    reader.click("button[value=try]")
    assert _broken_rules(reader, None) == []
    assert not reader.evaluate(OFF_THE_EDGE)
    reader.click("button[value=confirm]")

    assert "is confirmed" in reader.locator(".told").inner_text()
    assert FieldGuideRow.objects.count() == 1


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_a_second_look_breaks_no_rule(reader: Page, book: Book):
    reader.goto(book.paths["tray-item"])
    reader.fill("#guide-name", "")

    reader.click("button[value=try]")

    assert "a name of 1 to 60 characters" in reader.locator(".wrong").inner_text()
    assert _broken_rules(reader, None) == []
