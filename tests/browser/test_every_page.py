"""Every page in a real browser: no error, nothing off the edge, no rule of WCAG 2.2 AA broken."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.addresses import pages
from tests.browser.book import Book

DESK = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 740}
LOOKS = [
    pytest.param({"viewport": size, "color_scheme": scheme}, id=f"{name}-{scheme}")
    for name, size in (("desk", DESK), ("phone", PHONE))
    for scheme in ("light", "dark")
]
WCAG = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],
}
# Links inside a sentence are exempt (WCAG 2.5.8), and a box or button to choose is hit by its label.
TOO_SMALL = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary')]
  .filter(e => e.offsetParent && !['checkbox', 'radio', 'hidden'].includes(e.type))
  .filter(e => !e.closest('p:not(.tools, .stand), .cautions, .skip, .told, .wrong'))
  .filter(e => Math.round(e.getBoundingClientRect().height) < 44)
  .map(e => e.outerHTML.slice(0, 80))"""
# With a mouse or pen: 24 pixels (WCAG 2.5.8). A link in a line that stands for itself is no link in a sentence.
UNDER_24 = """() => [...document.querySelectorAll('a, button, input, select, textarea, summary')]
  .filter(e => e.offsetParent && !['checkbox', 'radio', 'hidden'].includes(e.type))
  .filter(e => !e.closest('p:not(.tools, .stand), .cautions, .skip, .told, .wrong'))
  .filter(e => Math.round(e.getBoundingClientRect().height) < 24)
  .map(e => e.outerHTML.slice(0, 80))"""
OFF_THE_EDGE = "() => document.documentElement.scrollWidth > window.innerWidth"


def test_every_page_of_the_program_is_visited(book: Book):
    assert set(book.paths) == pages() - {"sign-in"}


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_no_page_logs_an_error_or_breaks_the_content_policy(reader: Page, book: Book):
    said: list[str] = []
    reader.on("console", lambda message: said.append(f"{reader.url} {message.type} {message.text}"))
    reader.on("pageerror", lambda error: said.append(f"{reader.url} {error}"))
    reader.on(
        "response",
        lambda answer: said.append(f"{answer.url} {answer.status}") if answer.status >= 400 else None,
    )
    for path in book.paths.values():
        assert reader.goto(path).status == 200, path
    assert said == []


@pytest.mark.parametrize("reader", LOOKS, indirect=True)
def test_no_page_breaks_a_rule_for_people_who_see_hear_or_move_differently(reader: Page, book: Book):
    broken = [told for path in book.paths.values() for told in _broken_rules(reader, path)]
    assert broken == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_signing_in_breaks_no_rule_either(browser: Browser, live_server, transactional_db, scheme: str):
    context = browser.new_context(base_url=live_server.url, color_scheme=scheme)
    assert _broken_rules(context.new_page(), "/sign-in/") == []
    context.close()


def test_a_form_with_errors_breaks_no_rule(reader: Page):
    reader.goto("/clients/new/")
    reader.fill("#id_phone", "12")
    reader.click("main .act")
    assert reader.locator(".wrong a").count() == 2
    assert _broken_rules(reader, None) == []


def test_an_empty_book_breaks_no_rule(browser: Browser, live_server, owner):
    from tests.browser.conftest import sign_in

    context = browser.new_context(base_url=live_server.url)
    page = sign_in(context)
    assert page.locator("h1").inner_text().startswith("The book is empty.")
    assert _broken_rules(page, None) == []
    context.close()


@pytest.mark.parametrize("reader", [pytest.param({"viewport": PHONE}, id="phone")], indirect=True)
def test_nothing_runs_off_the_edge_at_360_pixels(reader: Page, book: Book):
    wide = []
    for name, path in book.paths.items():
        reader.goto(path)
        wide += [name] if reader.evaluate(OFF_THE_EDGE) else []
    assert wide == []


@pytest.mark.parametrize("reader", [pytest.param({"viewport": PHONE}, id="phone")], indirect=True)
def test_nothing_runs_off_the_edge_from_right_to_left(reader: Page, book: Book):
    wide = []
    for name, path in book.paths.items():
        reader.goto(path)
        reader.evaluate("document.documentElement.dir = 'rtl'")
        wide += [name] if reader.evaluate(OFF_THE_EDGE) else []
    assert wide == []


@pytest.mark.parametrize("reader", [pytest.param({"viewport": PHONE}, id="phone")], indirect=True)
def test_every_target_on_a_phone_is_44_pixels_high(reader: Page, book: Book):
    small = {}
    for name, path in book.paths.items():
        reader.goto(path)
        if found := reader.evaluate(TOO_SMALL):
            small[name] = found
    assert small == {}


@pytest.mark.parametrize("reader", [pytest.param({"viewport": DESK}, id="desk")], indirect=True)
def test_every_target_on_a_desk_is_24_pixels_high(reader: Page, book: Book):
    small = {}
    for name, path in book.paths.items():
        reader.goto(path)
        if found := reader.evaluate(UNDER_24):
            small[name] = found
    assert small == {}


def _broken_rules(page: Page, path: str | None) -> list[str]:
    if path is not None:
        page.goto(path)
    found = Axe().run(page, options=WCAG).response["violations"]
    return [
        f"{page.url} {rule['id']}: {node['html'][:120]} {node['failureSummary'][:300]}"
        for rule in found
        for node in rule["nodes"]
    ]
