"""The map page of the demo in a real browser with the network cut off."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Page, sync_playwright

from hushwalk.morning.story import RunParams, plan_morning
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.site.trip_file import read_trip

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")


class Seen:
    """What the page asked for and complained about."""

    def __init__(self, page: Page) -> None:
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda r: self.requests.append(r.url) if not r.url.startswith("data:") else None)
        page.on("console", lambda m: self.complaints.append(m.text) if m.type in {"error", "warning"} else None)
        page.on("pageerror", lambda e: self.complaints.append(str(e)))


@pytest.fixture(scope="module")
def address(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page of a plan of the middle of the demo."""
    settings = read_trip(demo_folder / "trip.toml")
    near = replace(settings, ground=replace(settings.ground, reach_m=1200.0))
    path = tmp_path_factory.mktemp("page") / "map.html"
    report = plan_morning(near, RunParams(search_s=None, iterations=200, proof_s=0.0))
    path.write_text(map_page(report), encoding="utf-8")
    return path.as_uri()


@pytest.fixture(params=[(1280, 900), (390, 844)], ids=["laptop", "phone"])
def opened(request: pytest.FixtureRequest, address: str) -> Iterator[tuple[Page, Seen]]:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox", "--disable-gpu"])
        width, height = request.param
        context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
        page = context.new_page()
        seen = Seen(page)
        page.goto(address)
        page.wait_for_selector(".leaflet-container")
        yield page, seen
        browser.close()


def test_the_page_asks_for_nothing_and_complains_of_nothing(opened: tuple[Page, Seen]) -> None:
    _, seen = opened
    assert [url for url in seen.requests if not url.startswith("file:")] == []
    assert len(seen.requests) == 1
    assert seen.complaints == []


def test_route_and_every_stop_are_drawn(opened: tuple[Page, Seen]) -> None:
    page, _ = opened
    assert page.locator(".leaflet-overlay-pane path").count() > 20
    timetable = page.inner_text("body")
    assert "Timetable" in timetable
    for word in ("leave the car", "first stop", "sunrise", "back at the car"):
        assert word in timetable


def test_nothing_sticks_out_sideways(opened: tuple[Page, Seen]) -> None:
    page, _ = opened
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth + 1")


def test_the_page_reads_without_scripts(address: str) -> None:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_context(java_script_enabled=False, offline=True).new_page()
        page.goto(address)
        assert "Timetable" in page.inner_text("body")
        assert page.locator("img").count() >= 1
        browser.close()
