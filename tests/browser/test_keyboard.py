"""Signing in and walking through the book with the keyboard alone; and what a printer gets."""

from playwright.sync_api import Browser, Page, expect

from tests import make
from tests.browser.book import Book


def _tab_to(page: Page, name: str, most: int = 60) -> None:
    """Press Tab until the thing with this name has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText || ''").strip().startswith(name):
            return
    raise AssertionError(f"{most} presses of Tab did not reach {name!r}")


def test_somebody_signs_in_without_a_mouse(browser: Browser, live_server, owner):
    context = browser.new_context(base_url=live_server.url)
    page = context.new_page()
    page.goto("/sign-in/")
    expect(page.locator("#id_username")).to_be_focused()
    page.keyboard.type("orla")
    page.keyboard.press("Tab")
    page.keyboard.type(make.PASSWORD)
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("The book is empty.")
    context.close()


def test_the_first_press_of_tab_offers_to_skip_to_the_first_line(reader: Page):
    reader.goto("/")
    reader.keyboard.press("Tab")
    assert reader.evaluate("document.activeElement.innerText") == "Skip to the first line of the page"
    reader.keyboard.press("Enter")
    assert reader.evaluate("document.activeElement.id") == "answer"


def test_from_the_board_to_a_mesh_to_its_home_without_a_mouse(reader: Page, book: Book):
    reader.goto("/")
    _tab_to(reader, book.mesh.code)
    reader.keyboard.press("Enter")
    reader.wait_for_url(f"**/meshes/{book.mesh.code}/")
    _tab_to(reader, book.mesh.site.code)
    reader.keyboard.press("Enter")
    reader.wait_for_url(f"**/homes/{book.mesh.site.code}/")
    expect(reader.locator("h1")).to_contain_text("could be brought back today")


def test_what_has_the_focus_is_outlined(reader: Page):
    reader.goto("/")
    _tab_to(reader, "Clients")
    width = reader.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
    assert width >= 2


def test_an_error_leads_to_its_field(reader: Page):
    reader.goto("/clients/new/")
    reader.fill("#id_name", "Somebody")
    reader.fill("#id_phone", "12")
    reader.click("main .act")
    reader.click(".wrong a")
    assert reader.evaluate("document.activeElement.id") == "id_phone"


def test_a_printed_folder_has_no_menus_and_no_buttons(reader: Page, book: Book):
    reader.goto(book.paths["folder"])
    reader.emulate_media(media="print")
    assert reader.locator("nav[aria-label='The book']").is_hidden()
    assert reader.locator("main button:visible").count() == 0
    assert reader.get_by_text("Before you touch anything").is_visible()
