"""The page of a search, and what the field notes add to that of a walk, in a real browser with the network cut off."""

import importlib.util
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from hushwalk.outputs.search.search_page import search_page
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.wording.search_words import search_rules

_spec = importlib.util.spec_from_file_location("made_search", Path(__file__).parents[1] / "made_search.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)


@pytest.fixture(scope="module", params=[(1280, 900), (390, 844)], ids=["laptop", "phone"])
def opened(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, chromium: Browser
) -> Iterator[tuple[Page, Page]]:
    folder = tmp_path_factory.mktemp("pages")
    search = made.made_search()
    walk = replace(made.made_report(), detections=search.detections)
    (folder / "search.html").write_bytes(search_page(search).encode("utf-8"))
    (folder / "map.html").write_bytes(map_page(walk).encode("utf-8"))
    asked: list[str] = []
    complaints: list[str] = []
    width, height = request.param
    context = chromium.new_context(viewport={"width": width, "height": height}, offline=True)
    pages = []
    for name in ("search.html", "map.html"):
        page = context.new_page()
        page.on("request", lambda r: None if r.url.startswith("data:") else asked.append(r.url))
        page.on("console", lambda m: complaints.append(m.text))
        page.on("pageerror", lambda e: complaints.append(str(e)))
        page.goto((folder / name).as_uri())
        page.wait_for_selector(".stop")
        pages.append(page)
    yield pages[0], pages[1]
    context.close()
    assert complaints == []
    assert len(asked) == 2
    assert all(url.startswith("file:") for url in asked)


def layer_names(page: Page) -> list[str]:
    found = page.eval_on_selector_all(".leaflet-control-layers-overlays label", "all => all.map(e => e.textContent)")
    return [name.strip() for name in found]


def toggled(page: Page, name: str) -> tuple[int, int]:
    count = "document.querySelectorAll('.leaflet-map-pane path, .leaflet-map-pane img, .leaflet-map-pane .pin').length"
    labels = "[...document.querySelectorAll('.leaflet-control-layers-overlays label')]"
    box = f"{labels}.find(e => e.textContent.trim() === '{name}').querySelector('input')"
    before = page.evaluate(count)
    was = page.evaluate(f"{box}.checked")
    page.evaluate(f"{box}.click()")
    after = page.evaluate(count)
    page.evaluate(f"{box}.click()")
    assert page.evaluate(count) == before
    return (before, after) if was else (after, before)


def test_birds_bearings_and_logs_are_layers_of_both_pages(opened: tuple[Page, Page]) -> None:
    for page in opened:
        names = layer_names(page)
        for name in ("Where birds may be", "Bearings taken", "Logs found"):
            assert name in names
            shown, hidden = toggled(page, name)
            assert shown > hidden
    assert "Areas to search" in layer_names(opened[0])
    shown, hidden = toggled(opened[0], "Areas to search")
    assert shown > hidden


def test_a_bird_and_a_log_tell_what_is_known(opened: tuple[Page, Page]) -> None:
    for page in opened:
        for title, words in (("B2", "50 % in"), ("LOG03", "main log of male 1")):
            page.evaluate("hushwalkMap.closePopup()")
            page.evaluate(f"document.querySelector('[aria-label=\"{title}\"]').click()")
            said = page.locator(".leaflet-popup-content").last.inner_text()
            assert title in said
            assert words in said


def test_the_search_tells_areas_in_order_with_their_times(opened: tuple[Page, Page]) -> None:
    page = opened[0]
    search = made.made_search().search
    for leg in search.legs:
        page.evaluate("hushwalkMap.closePopup()")
        page.evaluate(f"document.querySelector('[data-stop=\"{leg.number}\"]').click()")
        said = page.locator(".leaflet-popup-content").last.inner_text()
        for words in (f"{leg.arrive:%H:%M}", f"{leg.leave:%H:%M}", leg.bird, leg.entry.usng):
            assert words in said
    body = page.inner_text("body")
    for rule in search_rules(search.params):
        assert rule in body
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth + 1")


def test_titles_tell_no_place_of_a_log(opened: tuple[Page, Page]) -> None:
    for page in opened:
        assert not re.search(r"LOG|\d{5} \d{5}", page.title())
