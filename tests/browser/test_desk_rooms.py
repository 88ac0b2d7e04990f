"""The rooms of the desk round the morning, in a real browser on a piece of the demo: car, notes, birds, search, print.

Nothing is asked of any other machine. The run of the desk itself is that of test_desk.py.
"""

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser
from tests.browser.test_desk import LAPTOP, LONG_MS, NAUGHTY, PLANNED, TABLET, WHOLE, RunningDesk

from hushwalk.site.demo_trip import copy_demo

NEAR = ("P01", "P02", "P03")
SMALL = {
    "back_by = 09:30:00": 'back_by = 06:45:00\nway = "listen and cross"\nclosing_in_minutes = 0',
    "reach_m = 2500.0": "reach_m = 700.0",
    'place = "47.3825, -90.3299"': 'place = "47.3815, -90.3475"',
    'name = "Hollow Alder country, end of Sawdust Road"': f'name = "{NAUGHTY}"',
}


@pytest.fixture(scope="module")
def desk(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningDesk]:
    trip = copy_demo(tmp_path_factory.mktemp("rooms"))
    text = trip.read_text(encoding="utf-8")
    for old, new in SMALL.items():
        assert old in text
        text = text.replace(old, new)
    trip.write_text(text, encoding="utf-8")
    running = RunningDesk(trip.parent, chromium)
    running.start()
    running.page.set_default_timeout(LONG_MS)
    try:
        running.wait(WHOLE)
        yield running
    finally:
        running.stop()


@pytest.fixture(scope="module")
def near_notes(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bearings of the first stops of the demo, with a remark that tries to break out."""
    path = tmp_path_factory.mktemp("notes") / "<b>walk.csv"
    with (demo_folder / "bearings.csv").open(encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        rows = [{**row, "remark": NAUGHTY} for row in reader if row["stop"] in NEAR]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def room(desk: RunningDesk, name: str) -> Any:
    desk.page.click(f"[data-room={name}]")
    return desk.page


def fine(desk: RunningDesk) -> None:
    assert desk.page.evaluate("Start.last.fault") == ""
    assert desk.page.locator("#fault").inner_text() == ""
    assert desk.faults == desk.elsewhere == []
    assert desk.page.locator("img[src=x], #panel script").count() == 0


def work(desk: RunningDesk, name: str) -> Any:
    desk.page.click(f"[data-work={name}]")
    desk.page.wait_for_selector(f"[data-work={name}][aria-pressed=true], #fault:visible")
    fine(desk)
    return desk.page.locator("#after-found")


def test_the_car_is_pointed_at_and_moved(desk: RunningDesk) -> None:
    page = room(desk, "country")
    page.fill("#country-text", "47.3801, -90.3491")
    page.keyboard.press("Enter")
    page.locator("#country-facts dt", has_text="road").wait_for()
    facts = page.locator("#country-facts").inner_text()
    assert "America/Chicago" in facts
    assert "road" in facts
    desk.do(lambda: page.click("#country-begin"), PLANNED)
    assert desk.trip["place"]["car"] == "47.380100, -90.349100"
    desk.wait(WHOLE)
    fine(desk)


def test_the_plan_is_written_and_printed(desk: RunningDesk) -> None:
    page = room(desk, "take")
    page.click("#take-write")
    page.locator("#take-print:visible").wait_for()
    names = {path.name for path in (desk.folder / "out" / "2027-04-24").iterdir()}
    assert {"map.html", "sheet_a4.pdf", "walk.gpx", "walk.kml", "summary.json"} <= names
    with page.context.expect_page() as opened:
        page.locator("#take-new a", has_text="Page").click()
    opened.value.wait_for_selector("h1")
    assert opened.value.evaluate("window.origin") == "null", "what a page does is cut off from the desk"
    opened.value.close()
    with page.expect_download() as saved:
        page.locator("#take-new a", has_text="GPX").click()
    assert Path(saved.value.path()).read_bytes() == (desk.folder / "out" / "2027-04-24" / "walk.gpx").read_bytes()
    fine(desk)


def test_notes_become_birds_a_search_and_a_session(desk: RunningDesk, near_notes: Path) -> None:
    page = room(desk, "notes")
    page.set_input_files("#note-files", near_notes)
    page.locator("#note-list li").nth(5).wait_for(state="attached")
    page.fill("#note-day", "2027-04-23")
    page.fill(
        "#note-lines", 'log3 fresh b20 side=N height=0.5 at="47.3795, -90.3490" 09:10\n<img src=x onerror=alert(1)>'
    )
    page.click("#note-write")
    page.locator(".refused li").wait_for()
    found = work(desk, "fix")
    assert "B20" in found.inner_text()
    assert page.locator(".found.bird").count() >= 3
    first = found.locator("details.card").first
    first.locator("summary").click()
    first.locator("select").first.select_option("")
    page.locator("details.card[data-name=B1]").wait_for()
    fine(desk)
    times = work(desk, "search").locator(".times b")
    assert times.count() == 4
    assert (desk.folder / "out" / "2027-04-23" / "search.gpx").is_file()
    work(desk, "logs").locator("table button").first.click()
    page.locator(".views svg").first.wait_for()
    assert page.locator(".views figure").count() == 4
    fine(desk)


@pytest.mark.parametrize("size", [LAPTOP, TABLET])
@pytest.mark.parametrize("name", ["country", "notes", "take"])
def test_every_room_fits_and_every_control_has_a_name(desk: RunningDesk, name: str, size: tuple[int, int]) -> None:
    page = room(desk, name)
    page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    unnamed = page.evaluate(
        """name => [...document.querySelectorAll(`#${name} :is(button, input, textarea, select, a)`)]
        .filter(one => one.checkVisibility() && !one.textContent.trim() && !one.ariaLabel && !(one.labels || []).length)
        .map(one => one.outerHTML)""",
        name,
    )
    assert unnamed == []
    fine(desk)
