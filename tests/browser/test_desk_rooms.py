"""The rooms of the desk round the morning, in a real browser on a piece of the demo: car, notes, birds, search, print.

Nothing is asked of any other machine. The run of the desk itself is that of test_desk.py. What is held by red light,
and why, says test_red_light.py; contrast and focus are those of WCAG 2.2, level AA.
"""

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser
from tests.browser.test_desk import HERE, LAPTOP, LONG_MS, MEASURE, NAUGHTY, PLANNED, TABLET, WHOLE, RunningDesk

from hushwalk.site.demo_trip import copy_demo

NEAR = ("P01", "P02", "P03")
ROOMS = ("country", "morning", "notes", "take")
DIM = 10  # 4 % of 255: what is left of green or blue may come from the edge of a letter only
OVERLAPS = (HERE / "overlaps.js").read_text(encoding="utf-8").split("\n", 1)[1]
CONTROLS = ":is(#panel, #map-side) :is(button, input, textarea, select, summary, a.file), .leaflet-control, #place"
WAYPOINTS = """<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="47.3800" lon="-90.3490"><time>2027-04-24T11:05:00Z</time><name>P01 b3 120</name></wpt>
<wpt lat="47.3795" lon="-90.3481"><time>2027-04-24T13:05:00Z</time><name>log7 fresh</name></wpt></gpx>"""
DROP = """files => {
    const data = new DataTransfer();
    files.forEach(([name, text]) => data.items.add(new File([text], name)));
    for (const kind of ["dragenter", "dragover", "drop"]) document.querySelector("#map")
        .dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: data }));
}"""
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


def test_a_planning_that_was_stopped_goes_on(desk: RunningDesk) -> None:
    page = desk.page
    page.click("#stop")
    page.locator("#plan-on:visible").wait_for()
    assert not desk.plan["whole"]
    assert "stopped" in page.inner_text("#next")
    room(desk, "take")
    assert page.locator("#take-write").is_disabled()
    white = "getComputedStyle(document.querySelector('#take-write')).backgroundColor === 'rgb(255, 255, 255)'"
    assert page.evaluate(white), "what cannot be pressed does not look like the next step"
    page.click("#take-on")
    desk.wait(WHOLE)
    assert page.locator("#take-on").is_hidden()
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
    page.evaluate("Desk.ask('change', { kind: 'set reserve', reserve: 0.2 }).then(Start.take)")
    page.locator("#take-print").wait_for(state="hidden")  # that sheet is of a plan that stands no more
    assert page.locator("#take-new a").count() == 0
    desk.do(lambda: page.keyboard.press("Control+z"), WHOLE)
    fine(desk)


def test_files_are_dropped_on_the_map_and_each_is_answered(desk: RunningDesk) -> None:
    page = room(desk, "morning")
    files = [
        ["walk.gpx", WAYPOINTS],
        ["lines.txt", "P02 nil 06:20-06:28\nnonsense"],
        ["x.jpg", "\0\1"],
        ["b.csv", "a,b"],
    ]
    page.evaluate(DROP, files)
    page.wait_for_selector("#fault:visible")
    assert page.inner_text("#fault").splitlines()[0].startswith("x.jpg: ")
    assert "b.csv: " in page.inner_text("#fault")
    assert page.get_attribute("[aria-current]", "data-room") == "notes"
    said = page.inner_text("#note-said")
    assert "walk.gpx: 1 bearing, 1 log" in said
    assert "1 not taken:" in said
    assert ".taken" not in said
    assert page.locator("#note-list li").count() == 4  # bearing, log, silent visit, and the line that was not read
    assert sorted(path.name for path in desk.folder.glob("*.gpx")) == []
    while page.locator("#note-list li").count():
        before = page.locator("#note-list li").count()
        page.locator("#note-list button", has_text="Strike out").first.evaluate("one => one.click()")
        desk.wait(f"document.querySelectorAll('#note-list li').length < {before}")
    desk.faults.clear()  # the browser counts a refused file as a fault of the network
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
    alone = page.locator("details.card[data-name=B1]")
    alone.wait_for()
    assert alone.locator("select").count() == 1, "a bird of its own has no bearing of the bird that it was taken from"
    alone.locator("summary").click()
    alone.locator("select").select_option("B20")
    alone.wait_for(state="detached")
    assert "read 038" in page.locator("details.card[data-name=B20]").text_content()
    assert page.locator(".stop.other").count() == len(desk.plan["stops"])
    fine(desk)
    times = work(desk, "search").locator(".times b")
    assert times.count() == 4
    assert (desk.folder / "out" / "2027-04-23" / "search.gpx").is_file()
    work(desk, "logs").locator("table button").first.click()
    page.locator(".views svg").first.wait_for()
    assert page.locator(".views figure").count() == 4
    fine(desk)


def test_the_season_and_the_next_day_are_read_without_moving_sideways(desk: RunningDesk) -> None:
    page = desk.page
    for name in ("season", "tomorrow"):
        words = work(desk, name).locator(".words")
        assert words.locator("p").count() > 5
        assert words.evaluate("one => one.scrollWidth <= one.clientWidth")
    assert page.locator(".found.stand").first.inner_text().startswith(("male ", "B", "LOG"))
    assert all("(" not in one for one in page.locator(".found.stand").all_inner_texts())


@pytest.mark.parametrize("size", [LAPTOP, TABLET])
@pytest.mark.parametrize("name", ROOMS)
def test_every_room_fits_and_every_control_has_a_name(desk: RunningDesk, name: str, size: tuple[int, int]) -> None:
    page = room(desk, name)
    page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
    assert page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]") == [*size]
    unnamed = page.evaluate(
        """name => [...document.querySelectorAll(`#${name} :is(button, input, textarea, select, a)`)]
        .filter(one => one.checkVisibility() && !one.textContent.trim() && !one.ariaLabel && !(one.labels || []).length)
        .map(one => one.outerHTML)""",
        name,
    )
    assert unnamed == []
    assert page.evaluate(OVERLAPS, CONTROLS) == []
    tool = page.locator(f"#{name} [data-tool]")
    if tool.count():
        tool.first.click()
        assert page.evaluate(OVERLAPS, CONTROLS) == []
        page.keyboard.press("Escape")
    page.locator("#night").focus()
    for _ in range(14):
        page.keyboard.press("Tab")
        where, style = page.evaluate(
            "(one => [one.outerHTML.slice(0, 90), getComputedStyle(one).outlineStyle])(document.activeElement)"
        )
        assert where.startswith("<body") or style not in {"none", "auto"}, where
    fine(desk)


def dots(desk: RunningDesk, height: int) -> np.ndarray:
    desk.page.set_viewport_size({"width": LAPTOP[0], "height": height})
    desk.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return np.asarray(Image.open(io.BytesIO(desk.page.screenshot())).convert("RGB")).reshape(-1, 3)


@pytest.fixture
def red(desk: RunningDesk) -> Iterator[Any]:
    """The desk by red light, all that can be opened open."""
    desk.page.click("#night")
    desk.page.evaluate("document.querySelectorAll('#panel details').forEach(one => { one.open = true; })")
    hidden = "document.querySelectorAll('.working, #country-gather-box').forEach(one => { one.hidden = %s; })"
    desk.page.evaluate(hidden % "false")
    off = "document.querySelectorAll('#undo, #take-write, #country-gather').forEach(one => { one.disabled = %s; })"
    desk.page.evaluate(off % "true")
    yield desk.page
    desk.page.evaluate(hidden % "true")
    desk.page.evaluate(off % "false")
    desk.page.evaluate("document.querySelector('#map-side').style.visibility = ''")
    desk.page.click("#night")


def test_no_dot_of_a_panel_is_green_or_blue_by_red_light(desk: RunningDesk, red: Any) -> None:
    red.evaluate("document.querySelector('#map-side').style.visibility = 'hidden'")  # it has a test of its own
    for name in ROOMS:
        room(desk, name)
        seen = dots(desk, 2200)
        assert seen[:, 0].max() > 240, name
        assert (seen[:, 1:] > DIM).any(axis=1).sum() == 0, name
        dim = [(words, round(ratio, 2)) for words, ratio in red.evaluate(MEASURE, f"#{name}") if ratio < 4.5]
        assert dim == [], name


def test_no_dot_of_the_map_is_green_or_blue_and_it_does_not_glare(desk: RunningDesk, red: Any) -> None:
    room(desk, "morning")
    red.evaluate("DeskMap.map.setZoom(12, { animate: false })")  # much of what is seen lies beyond the layers
    red.click("[data-tool=ground]")
    seen = dots(desk, LAPTOP[1])
    red.keyboard.press("Escape")
    assert (seen[:, 1:] > DIM).any(axis=1).sum() == 0
    assert seen[:, 0].mean() / 255 < 0.35  # judgement: a third of the red of a white screen at most
