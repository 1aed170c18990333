"""How long a browser takes from asking for a shared list to having it laid out: 2,000 lines against 20.

Run it by hand: `python -m tests.benchmarks.page_times`. Shown are the median of some visits in milliseconds by the browser's own
navigation timing (W3C Navigation Timing Level 2: from the start of the navigation to loadEventEnd) and their ratio.
"""

from __future__ import annotations

import statistics
from http import HTTPStatus

from playwright.sync_api import Browser, Page, sync_playwright

from bot.chat.telegram_webhook import Shown
from bot.sharing.listing import Row
from bot.sharing.page import HEADERS, page
from tests.browser.served import SWITCHES, Served, find_chromium

VISITS = 9
SMALL, LARGE = 20, 2000


def main() -> None:
    """Visit both pages and print the medians."""
    found = find_chromium()
    if found is None:
        print("No Chromium on this machine.")
        return
    with sync_playwright() as library:
        browser = library.chromium.launch(executable_path=found, args=list(SWITCHES))
        small, large = (_median_ms(browser, lines) for lines in (SMALL, LARGE))
        browser.close()
    print(f"{SMALL} lines {small:.0f} ms, {LARGE} lines {large:.0f} ms, ratio {large / small:.1f}")


def _median_ms(browser: Browser, lines: int) -> float:
    rows = [Row(f"Rebutia kupperiana nr {number:04}", 1, 7.0, "rooted", 1) for number in range(lines)]

    async def pages(_: bytes) -> Shown:
        return Shown(HTTPStatus.OK, HEADERS, page(rows, None).encode())

    with Served(pages) as port:
        tab = browser.new_page()
        return statistics.median(_visit_ms(tab, port) for _ in range(VISITS))


def _visit_ms(tab: Page, port: int) -> float:
    tab.goto(f"http://127.0.0.1:{port}/list/x", wait_until="load")
    return float(tab.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd"))


if __name__ == "__main__":
    main()
