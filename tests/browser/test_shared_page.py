"""The page of a shared list as a swap partner sees it: in a real browser, with nothing but what the page itself brings."""

from __future__ import annotations

import io
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Response
from pypdf import PdfReader

from bot.chat.telegram_webhook import Shown
from bot.sharing.listing import Row
from bot.sharing.page import HEADERS_WITH_PHOTOS, page
from bot.sharing.thumbnails import LONGEST_PX, thumbnail
from tests.browser.conftest import Site
from tests.browser.served import Served
from tests.sharing.test_photos import photo

pytestmark = pytest.mark.browser
A4_PT = (595.3, 841.9)  # ISO 216:2007, 210 x 297 mm, in points of 1/72 inch


def collection(site: Site) -> None:
    for words in ("12-14 are rebutias on bench 2", "20 is a lobivia", "30 to 34 are mammillarias"):
        site.bench.type(words)


def many(beginning: str, count: int) -> list[Row]:
    return [Row(f"{beginning} {number:04}", 1, None, "", 0) for number in range(count)]


def names(tab: Page) -> list[str]:
    return tab.locator("tbody th").all_inner_texts()


def test_open_search_and_sort(site: Site, tab: Page) -> None:
    collection(site)
    tab.goto(site.share())
    assert tab.title() == "Plants to swap"
    assert names(tab) == ["Lobivia", "Mammillaria", "Rebutia"]
    tab.get_by_label("Sort by").select_option("count")
    tab.get_by_role("button", name="Show").click()
    assert names(tab)[0] == "Mammillaria"
    tab.get_by_label("Search by name").fill("REB")
    tab.get_by_role("button", name="Show").click()
    assert names(tab) == ["Rebutia"]
    assert tab.get_by_label("Sort by").input_value() == "count"
    tab.get_by_label("Search by name").fill("opuntia")
    tab.get_by_role("button", name="Show").click()
    assert names(tab) == []
    assert tab.get_by_text("Nothing here has that name.").is_visible()


def test_with_the_keyboard_alone(site: Site, tab: Page) -> None:
    collection(site)
    tab.goto(site.share())
    order = []
    for _ in range(4):
        tab.keyboard.press("Tab")
        order.append(tab.evaluate("document.activeElement.id || document.activeElement.type || document.activeElement.className"))
        focus = tab.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert focus == "solid", "where the keyboard stands must be seen"
    assert order == ["q", "sort", "submit", "wide"]
    tab.keyboard.press("Shift+Tab")
    tab.keyboard.press("Shift+Tab")
    tab.keyboard.press("Shift+Tab")
    tab.keyboard.type("mam")
    with tab.expect_navigation():
        tab.keyboard.press("Enter")
    assert names(tab) == ["Mammillaria"]


@pytest.mark.parametrize("path", ["", "?q=nothing-of-that-name"])
def test_no_violation_of_the_accessibility_rules(site: Site, tab: Page, path: str) -> None:
    """Checked with axe-core 4 (Deque Systems), whose rules carry out WCAG 2.2 (W3C, 2023) at levels A and AA."""
    collection(site)
    tab.goto(site.share() + path)
    found = Axe().run(tab)
    assert found.violations_count == 0, found.generate_report()
    assert len(found.response["passes"]) > 10


def test_the_notice_has_no_violation_either(site: Site, tab: Page) -> None:
    collection(site)
    address = site.share()
    site.bench.type("stop sharing")
    tab.goto(address)
    assert Axe().run(tab).violations_count == 0


def test_readable_at_320_px(site: Site, tab: Page) -> None:
    """WCAG 2.2 (W3C, 2023), 1.4.10: at 320 CSS px nothing but a table scrolls sideways; 2.5.8: targets of 24 px at least."""
    collection(site)
    site.bench.type("40 is a mammillaria bombycina from the far side of the very long garden")
    tab.set_viewport_size({"width": 320, "height": 640})
    tab.goto(site.share())
    assert tab.evaluate("document.documentElement.scrollWidth") <= 320
    for target in tab.locator("input, select, button").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 24
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 320
    assert float(tab.evaluate("parseFloat(getComputedStyle(document.querySelector('td')).fontSize)")) >= 16


def test_prints_on_a4_with_the_head_on_each_sheet(tab: Page) -> None:
    tab.set_content(page(many("Rebutia kupperiana nr", 150), None))
    tab.emulate_media(media="print")
    printed = PdfReader(io.BytesIO(tab.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) > 1
    for sheet in printed.pages:
        assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx(A4_PT, abs=1)
        assert "How many" in sheet.extract_text()
    assert "Search by name" not in printed.pages[0].extract_text()


def test_no_request_goes_anywhere_else_and_nothing_is_kept(site: Site, tab: Page) -> None:
    collection(site)
    asked: list[str] = []
    tab.context.on("request", lambda request: asked.append(request.url))
    tab.goto(site.share())
    tab.get_by_label("Search by name").fill("reb")
    tab.get_by_role("button", name="Show").click()
    assert len(asked) >= 2
    assert {urlsplit(url).netloc for url in asked} == {urlsplit(site.base).netloc}
    assert tab.context.cookies() == []
    assert tab.evaluate("performance.getEntriesByType('resource').filter(one => !one.name.endsWith('favicon.ico')).length") == 0


def test_the_policy_lets_no_script_run(site: Site, tab: Page) -> None:
    """Content Security Policy Level 3 (W3C): with default-src 'none' the browser refuses inline scripts, images and requests."""
    collection(site)
    refused: list[str] = []
    tab.on("console", lambda message: refused.append(message.text))
    answer = tab.goto(site.share())
    assert isinstance(answer, Response)
    assert refused == []  # the page's own style is let through by its digest
    assert tab.evaluate("getComputedStyle(document.querySelector('h1')).fontFamily").startswith("Georgia")
    tab.evaluate(
        "document.body.insertAdjacentHTML('beforeend', '<img src=https://elsewhere.example/a.png onerror=document.title=1>')"
    )
    tab.evaluate("document.body.append(Object.assign(document.createElement('script'), {textContent: 'document.title = 2'}))")
    tab.wait_for_timeout(200)
    assert tab.title() == "Plants to swap"
    assert any("Content Security Policy" in one for one in refused)


def test_names_are_text_whatever_they_hold(tab: Page) -> None:
    """What a plant is called must not become part of the page (CWE-79)."""
    mark = '"><script>document.title=1</script>'
    nasty = "Rebutia <script>document.title='got'</script> {{ 7*7 }} \"'&"
    tab.set_content(page([Row(nasty, 1, None, "", 0)], None, query=mark))
    assert tab.title() == "Plants to swap"
    assert tab.locator("script").count() == 0
    assert tab.locator("input[type=search]").input_value() == mark
    tab.set_content(page([Row(nasty, 1, None, "", 0)], None))
    assert tab.title() == "Plants to swap"
    assert names(tab) == [nasty]


def test_taken_back_it_says_so_at_once_also_on_the_way_back(site: Site, tab: Page) -> None:
    """Cache-Control: no-store (RFC 9111, 2022, 5.2.2.5): no kept copy may answer, the one of the Back button neither."""
    collection(site)
    address = site.share()
    tab.goto(address)
    assert "Rebutia" in tab.content()
    tab.goto("about:blank")
    site.bench.type("stop sharing")
    tab.go_back()
    assert "no longer shared" in tab.content()
    assert "Rebutia" not in tab.content()
    tab.goto(address + "?q=reb")
    assert "no longer shared" in tab.content()
    assert "Rebutia" not in tab.content()


def test_two_thousand_lines(tab: Page) -> None:
    text = page(many("Rebutia kupperiana nr", 2000), None)
    tab.set_content(text)
    found = names(tab)
    assert len(found) == len(set(found)) == 2000
    assert found == sorted(found)
    assert len(text) < 400_000  # bytes over a slow line; the time is printed by tests/benchmarks/page_times.py


def test_photos_stand_in_the_page_itself(tab: Page, tmp_path: Path) -> None:
    """The policy lets them in, they are named for who cannot see them (axe-core 4), and none is asked for elsewhere."""
    photo(tmp_path, "a.jpg")
    drawn = thumbnail(tmp_path, "a.jpg")
    assert drawn
    text = page(many("Rebutia kupperiana nr", 3), None, photos=[("Rebutia kupperiana", drawn)], wishes=["Copiapoa cinerea"])

    async def pages(target: bytes) -> Shown:
        return Shown(HTTPStatus.OK, HEADERS_WITH_PHOTOS, text.encode())

    with Served(pages) as port:
        tab.set_viewport_size({"width": 320, "height": 640})
        tab.goto(f"http://127.0.0.1:{port}/list/{'a' * 32}")
        shown = tab.get_by_alt_text("Photo of Rebutia kupperiana")
        assert shown.evaluate("one => one.naturalWidth") == LONGEST_PX
        assert shown.is_visible()
        assert tab.get_by_role("heading", name="Wished for").is_visible()
        assert tab.evaluate("document.documentElement.scrollWidth") <= 320
        assert Axe().run(tab).violations_count == 0
