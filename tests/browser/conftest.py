"""The page of a shared list on loopback HTTP, and a headless Chromium of the system's to look at it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from bot.app import intake, opened_lists
from bot.app.sharing_talk import Links, reachable
from bot.chat.list_page import BEGINNING, ListPage
from bot.chat.telegram_webhook import Shown
from bot.store.database import Database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench, planted_reader
from tests.browser.served import SWITCHES, Served, find_chromium
from tests.store.conftest import file_database, file_template  # noqa: F401

CHROMIUM = find_chromium()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The browser, for one module: its library keeps an event loop running, which asynchronous tests cannot share."""
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine: the page was not looked at in a browser (Debian's package is chromium)")
    with sync_playwright() as library:
        browser = library.chromium.launch(executable_path=CHROMIUM, args=list(SWITCHES))
        yield browser
        browser.close()


@dataclass
class Site:
    """A collection whose lists are served at `base`."""

    bench: Bench
    base: str

    def share(self, words: str = "share my list till 1 june 2026") -> str:
        """Share as the owner does, in words; return the address in the answer."""
        said = self.bench.type(words).text
        return next(word for word in said.split() if word.startswith(self.base))


@pytest.fixture
def site(file_database: Database, monkeypatch: pytest.MonkeyPatch) -> Iterator[Site]:  # noqa: F811
    """A collection in London of which nothing was said yet, and its pages on loopback."""
    bench = Bench(file_database, CollectionSettings(zone="Europe/London", latitude=51.5))
    monkeypatch.setattr(intake, "read_for", planted_reader(bench))
    monkeypatch.setattr(opened_lists, "MOST_IN_A_WHILE", 10_000)  # how often a list may be opened has a test of its own
    lists = ListPage(file_database, lambda: bench.now)

    async def pages(target: bytes) -> Shown:
        return lists.shown(target)

    with Served(pages) as port:
        base = f"http://127.0.0.1:{port}{BEGINNING}"
        with file_database.write() as conn:
            reachable(conn, Links(page=base), bench.now)
        yield Site(bench, base)


@pytest.fixture
def tab(chromium: Browser) -> Iterator[Page]:
    """A page of a fresh profile: no cache, no cookie of another test."""
    context = chromium.new_context()
    yield context.new_page()
    context.close()
