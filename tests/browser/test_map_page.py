"""The map page of the demo in a real browser with the network cut off."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.xdist_group("plan of the demo")  # the plan is made once


class Seen:
    """What the page asked for and complained about."""

    def __init__(self, page: Page) -> None:
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda r: self.requests.append(r.url) if not r.url.startswith("data:") else None)
        page.on("console", lambda m: self.complaints.append(m.text) if m.type in {"error", "warning"} else None)
        page.on("pageerror", lambda e: self.complaints.append(str(e)))


@pytest.fixture(params=[(1280, 900), (390, 844)], ids=["laptop", "phone"])
def opened(request: pytest.FixtureRequest, demo_page: str, chromium: Browser) -> Iterator[tuple[Page, Seen]]:
    width, height = request.param
    context = chromium.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    seen = Seen(page)
    page.goto(demo_page)
    page.wait_for_selector(".leaflet-container")
    yield page, seen
    context.close()


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


def test_the_page_reads_without_scripts(demo_page: str, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(demo_page)
    assert "Timetable" in page.inner_text("body")
    assert page.locator("img").count() >= 1
    context.close()
