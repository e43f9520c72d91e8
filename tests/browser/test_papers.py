"""A sheet handed over by a link, and signed with a finger or by the keyboard, in a real browser."""

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page

from reports.models import Sheet, Signature
from reports.verbs import links
from tests.browser.book import Book
from tests.browser.conftest import PATIENCE_MS

PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True}


@pytest.fixture
def paper(book: Book) -> Sheet:
    return book.mesh.site.sheets.get(kind="handover")


@pytest.fixture
def token(paper: Sheet) -> str:
    _, text = links.make(paper, "Ingunn", 14, True, "Orla", timezone.now())
    return text


@pytest.fixture
def stranger_page(browser: Browser, live_server):
    """Somebody without an account, on a phone."""
    context = browser.new_context(base_url=live_server.url, **PHONE)
    context.set_default_timeout(PATIENCE_MS)
    yield context.new_page()
    context.close()


def draw(page: Page) -> None:
    pad = page.locator("canvas")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    for step in range(20):
        page.mouse.move(box["x"] + 20 + 8 * step, box["y"] + 20 + 25 * (step % 3))
    page.mouse.up()


def test_a_link_opens_its_sheet_and_the_token_never_reaches_an_address(stranger_page: Page, paper, token):
    asked: list[str] = []
    stranger_page.on("request", lambda request: asked.append(request.url.partition("#")[0]))
    stranger_page.on("request", lambda request: asked.append(str(request.headers)))

    stranger_page.goto(f"/hand/#{token}")
    stranger_page.wait_for_selector("#sign")

    assert paper.number in stranger_page.locator("h1").inner_text()
    assert token not in stranger_page.url
    # A browser shows the part after the mark to itself only; what goes over the line ends before it.
    assert len(asked) > 4
    assert not [each for each in asked if token in each]
    assert stranger_page.context.cookies() == []


def test_a_drawn_signature_is_kept_as_strokes(stranger_page: Page, token):
    stranger_page.goto(f"/hand/#{token}")
    stranger_page.wait_for_selector("#sign")
    draw(stranger_page)
    stranger_page.click("text=Clear the drawing")
    assert stranger_page.locator("[data-said]").inner_text() == ""
    draw(stranger_page)
    stranger_page.check("#id_read")
    stranger_page.click("text='Sign'")
    stranger_page.wait_for_selector("#signed")

    row = Signature.objects.get(name="Ingunn")
    assert row.method == "drawn"
    assert len(row.strokes) == 1
    assert len(row.strokes[0]) >= 20


def test_the_keyboard_alone_signs_too(reader: Page, paper):
    reader.goto(f"/sheets/{paper.number}/sign/")
    reader.focus("#id_name")
    reader.keyboard.type("Ingunn Sæther")
    for _ in range(4):
        reader.keyboard.press("Tab")
    reader.keyboard.press("Space")
    reader.keyboard.press("Enter")
    reader.wait_for_selector(".told")

    row = Signature.objects.get(sheet=paper)
    assert (row.name, row.method) == ("Ingunn Sæther", "typed")


def test_a_link_that_is_over_says_whom_to_call(stranger_page: Page, token):
    links.revoke(links.open_link(token, timezone.now()), "Orla", timezone.now())

    stranger_page.goto(f"/hand/#{token}")
    stranger_page.wait_for_selector("#whom")

    assert "This link was ended" in stranger_page.locator("h1").inner_text()
    assert "+44 1632 960100" in stranger_page.locator(".calls").inner_text()
