"""The pages in a real browser: no script, no outside request, readable on a phone."""

import datetime as dt
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, sync_playwright
from waitress.server import create_server

from service import create_app
from service.demo.loading import issue_demo_report, load_demo
from service.records.blobs import BlobStore
from service.records.database import Database
from service.records.schema import upgrade
from service.settings import Settings

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The service with the demo, and the link of its report."""
    settings = Settings(data=tmp_path_factory.mktemp("pages"))
    database, blobs = Database(settings.database_address), BlobStore(settings.data / "blobs")
    with database.bind.connect() as connection:  # type: ignore[union-attr]
        upgrade(connection)
    now = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
    load_demo(database, blobs, now=now)
    link, _ = issue_demo_report(database, blobs, settings, now=now)
    server = create_server(create_app(settings, database), host="127.0.0.1", port=0)
    address = f"http://127.0.0.1:{server.effective_port}"
    thread = threading.Thread(target=server.run)
    thread.start()
    yield address, f"{address}/r/{link.rpartition('/')[2]}"
    server.close()
    thread.join(5)
    database.dispose()


@pytest.fixture(scope="module")
def browser_page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A phone with scripts switched off."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium") or shutil.which("chromium-browser"),
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking",
                  "--disable-component-update", "--disable-sync", "--no-first-run"],
        )  # fmt: skip
        context = browser.new_context(viewport=PHONE, java_script_enabled=False)
        yield context.new_page()
        browser.close()


def open_page(page: Page, address: str) -> tuple[list[str], list[str]]:
    """Open a page; the addresses it asked for, and what the browser complained of."""
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(f"{message.text} {message.location}"))
    page.goto(address)
    return asked, complaints


def test_the_report_shows_the_decision_first_and_fits_a_phone(
    served: tuple[str, str], browser_page: Page
) -> None:
    address, link = served
    asked, complaints = open_page(browser_page, link)

    text = browser_page.inner_text("body")
    assert text.index("Shall the whistle stand upright") < text.index("13 November 2026")
    assert all(url.startswith(address) for url in asked)
    assert not complaints
    assert browser_page.locator("main img").count() == 2
    assert browser_page.locator("header img").count() == 1
    width = browser_page.locator("body").bounding_box()
    assert width is not None
    assert width["width"] <= PHONE["width"]


def test_the_report_hides_what_is_the_workshops_own(
    served: tuple[str, str], browser_page: Page
) -> None:
    open_page(browser_page, served[1])

    text = browser_page.inner_text("body")
    assert "slow to answer" not in text
    assert "box B" not in text
    assert "my own slip" not in text


def test_the_report_prints_to_paper(
    served: tuple[str, str], browser_page: Page, tmp_path: Path
) -> None:
    open_page(browser_page, served[1])

    assert browser_page.pdf(path=tmp_path / "page.pdf", format="A4").startswith(b"%PDF")


def test_a_guessed_link_shows_the_page_that_tells_nothing(
    served: tuple[str, str], browser_page: Page
) -> None:
    open_page(browser_page, f"{served[0]}/r/guessed")

    assert "This link opens nothing" in browser_page.inner_text("body")


@pytest.mark.parametrize("width", [360, 1400])
def test_the_way_in_says_what_this_is_and_every_way_on_opens(
    served: tuple[str, str], browser_page: Page, width: int
) -> None:
    address, _ = served
    browser_page.set_viewport_size({"width": width, "height": 800})
    try:
        asked, complaints = open_page(browser_page, f"{address}/")
        ways = browser_page.locator("a").evaluate_all("all => all.map(one => one.href)")
        widest = browser_page.locator("html").evaluate("page => page.scrollWidth")
        text = browser_page.inner_text("body")
        opened = [browser_page.request.get(way).status for way in ways]
    finally:
        browser_page.set_viewport_size(PHONE)

    assert "miniature steam plants" in text
    assert not complaints
    assert all(url.startswith(address) for url in asked)
    assert widest <= width
    assert [way.removeprefix(address) for way in ways] == [
        "/api/docs", "/api/v1/openapi.json", "/health",
    ]  # fmt: skip
    assert opened == [200, 200, 200]


def test_the_way_in_tells_a_stranger_nothing_of_the_workshop(
    served: tuple[str, str], browser_page: Page
) -> None:
    open_page(browser_page, f"{served[0]}/")

    page = browser_page.content()
    assert [
        word for word in ("Gull Yard", "Sandpiper", "Ellery", "26-014", "example.org", "960 140")
        if word in page
    ] == []  # fmt: skip


def test_the_description_opens_without_the_internet(
    served: tuple[str, str], browser_page: Page
) -> None:
    address, _ = served
    asked, complaints = open_page(browser_page, f"{address}/api/docs")

    assert all(url.startswith(address) for url in asked)
    assert not complaints
    assert browser_page.locator("article").count() > 60
