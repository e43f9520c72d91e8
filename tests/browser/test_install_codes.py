"""Install codes in a real browser: a refusal leads to the field, and what was shown cannot be had by going back."""

from contextlib import suppress

import pytest
from playwright.sync_api import Error, Page

from tests import codes
from tests.browser.book import Book
from tests.browser.test_every_page import LOOKS, OFF_THE_EDGE, PHONE, _broken_rules

WRONG = codes.printed("two")[:-1] + ("7" if codes.printed("two")[-1] != "7" else "9")
ON_A_PHONE = pytest.mark.parametrize("reader", [pytest.param({"viewport": PHONE}, id="phone")], indirect=True)


def open_device(reader: Page, book: Book) -> None:
    reader.goto(book.paths["device"])


def type_wrong_code(reader: Page, book: Book) -> None:
    open_device(reader, book)
    reader.click("text=Replace it by another")
    reader.fill("#id_code", WRONG)
    reader.click("text=Check it and seal it instead")


def show_code(reader: Page, book: Book) -> None:
    open_device(reader, book)
    reader.click("text=Show the code and its link key")
    reader.fill("#id_show-reason", "the alarm was reset")
    reader.click("button:has-text('Show it')")


@ON_A_PHONE
def test_a_refusal_opens_at_the_field_with_the_reason(reader: Page, book: Book):
    type_wrong_code(reader, book)

    assert reader.locator("#id_code").is_visible()
    assert reader.evaluate(
        "document.querySelector('#id_code_error').getBoundingClientRect().top < innerHeight"
    )
    assert "it is in group 9 of 9" in reader.locator("#id_code_error").inner_text()


@ON_A_PHONE
def test_every_digit_of_a_refused_code_can_be_seen(reader: Page, book: Book):
    type_wrong_code(reader, book)

    assert reader.evaluate("(e => e.scrollHeight <= e.clientHeight + 1)(document.querySelector('#id_code'))")


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_a_refusal_breaks_no_rule(reader: Page, book: Book):
    type_wrong_code(reader, book)

    assert _broken_rules(reader, None) == []
    assert not reader.evaluate(OFF_THE_EDGE)


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_the_page_that_shows_a_code_breaks_no_rule(reader: Page, book: Book):
    show_code(reader, book)

    assert _broken_rules(reader, None) == []
    assert not reader.evaluate(OFF_THE_EDGE)


def test_what_was_shown_is_not_there_after_going_back(reader: Page, book: Book):
    show_code(reader, book)
    assert codes.printed(book.mesh.site.code) in read(reader)
    reader.click("text=I have done with it")
    reader.wait_for_selector("#known")

    with suppress(Error):  # the browser would ask whether to send the form again
        reader.go_back()

    assert codes.printed(book.mesh.site.code) not in read(reader)


def test_a_code_is_not_printed(reader: Page, book: Book):
    show_code(reader, book)
    reader.emulate_media(media="print")

    assert not reader.locator("dd.secret").first.is_visible()


def read(reader: Page) -> str:
    """What a person can read on the page, blanks taken together."""
    return " ".join(reader.locator("body").inner_text().split())
