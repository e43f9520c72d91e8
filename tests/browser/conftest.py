"""A real browser on a live server. Without the browser these tests fail: a check that did not run proved nothing."""

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from sites.models import Person
from tests import make
from tests.browser.book import Book, fill

# Playwright's loop runs in this thread; rows are written between its calls, never inside one.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PATIENCE_MS = 10_000


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = shutil.which("chromium")
    if program is None:
        pytest.fail(
            "There is no program named chromium on this machine; install it, these tests are not skipped."
        )
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def book(transactional_db, owner: Person) -> Book:
    return fill()


@pytest.fixture
def reader(browser: Browser, live_server, book: Book, request) -> Iterator[Page]:
    """A page of somebody signed in, in the size and colours that the test asks for."""
    context = browser.new_context(base_url=live_server.url, **getattr(request, "param", {}))
    context.set_default_timeout(PATIENCE_MS)
    yield sign_in(context)
    context.close()


def sign_in(context: BrowserContext) -> Page:
    page = context.new_page()
    page.goto("/sign-in/")
    page.fill("#id_username", "orla")
    page.fill("#id_password", make.PASSWORD)
    page.click("main button")
    page.wait_for_url("**/")
    return page
