"""The desk in a real browser, on a small piece of the demo with a name that tries to break out: a morning is shaped.

One server for all tests of this file; nothing is asked of any other machine. Contrast, focus and names are measured as
on the written pages (WCAG 2.2, level AA).
"""

import json
import os
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from hushwalk.site.demo_trip import copy_demo

HERE = Path(__file__).parent
MEASURE = (HERE / "contrast.js").read_text(encoding="utf-8").split("\n", 1)[1]
NAUGHTY = "<img src=x onerror=alert(1)>\\\"'</script><b>ridge"
LAPTOP, TABLET = (1280, 720), (820, 1180)
LONG_MS = 300_000  # where the program is compiled for the first time
PLANNED = "Start.last.plan && Start.last.plan.of === Start.last.version"
WHOLE = f"{PLANNED} && Start.last.plan.whole && !Start.last.work"


@dataclass
class RunningDesk:
    """A desk in a process of its own, and a page of it."""

    folder: Path
    browser: Browser
    process: Any = None
    address: str = ""
    page: Any = None
    faults: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)
    more: tuple[str, ...] = ()
    env: dict[str, str] = field(default_factory=dict)

    def start(self) -> None:
        words = [sys.executable, "-m", "hushwalk", "desk", str(self.folder), "--no-browser", "--port", "0"]
        env = {**os.environ, **self.env, "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen([*words, *self.more], stdout=subprocess.PIPE, text=True, env=env)
        self.process.stdout.readline()
        self.address = self.process.stdout.readline().strip()
        self.page = self.browser.new_context(viewport=dict(zip(("width", "height"), LAPTOP, strict=True))).new_page()
        home = self.address.partition("?")[0]
        self.page.on("request", lambda asked: asked.url.startswith((home, "data:")) or self.elsewhere.append(asked.url))
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.on("dialog", lambda dialog: self.faults.append(dialog.message))
        self.page.on("console", lambda said: said.type == "error" and self.faults.append(said.text))
        self.page.goto(self.address)

    def stop(self, how: int = signal.SIGTERM) -> None:
        self.page.context.close()
        self.process.send_signal(how)
        self.process.wait(30)
        self.process.stdout.close()

    def wait(self, until: str) -> None:
        """Look again and again: the policy of the page forbids the words that a waiting browser would evaluate."""
        end = time.monotonic() + LONG_MS / 1000
        while not self.page.evaluate(f"Boolean({until})"):
            assert time.monotonic() < end, f"never came: {until}"
            self.page.wait_for_timeout(40)

    def do(self, work: Any, until: str = PLANNED) -> None:
        """Do what makes a new version, and wait for its plan."""
        before = self.page.evaluate("Start.last.version")
        work()
        self.wait(f"Start.last.version !== {before} && (Start.last.fault || ({until}))")
        assert self.page.evaluate("Start.last.fault") == ""

    @property
    def plan(self) -> Any:
        return self.page.evaluate("Start.last.plan")

    @property
    def trip(self) -> dict[str, Any]:
        return tomllib.loads((self.folder / "trip.toml").read_text(encoding="utf-8"))

    def centre(self, stop: int) -> tuple[float, float]:
        box = self.page.locator(".stop:not(.other)").nth(stop - 1).bounding_box()
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


@pytest.fixture(scope="module")
def desk(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningDesk]:
    folder = tmp_path_factory.mktemp("desk")
    trip = copy_demo(folder)
    text = trip.read_text(encoding="utf-8").replace("back_by = 09:30:00", "back_by = 07:15:00")
    text = text.replace("reach_m = 2500.0", "reach_m = 900.0")
    text = text.replace('name = "Hollow Alder country, end of Sawdust Road"', f'name = "{NAUGHTY}"  # said by Ada')
    trip.write_text(text, encoding="utf-8")
    running = RunningDesk(folder, chromium)
    running.start()
    try:
        running.wait(WHOLE)
        yield running
    finally:
        running.stop()


def test_a_stop_is_dragged_and_the_walk_follows(desk: RunningDesk) -> None:
    page = desk.page
    assert page.inner_text("#title") == NAUGHTY.replace('\\"', '"')
    page.wait_for_selector(".leaflet-image-layer", timeout=LONG_MS)
    page.wait_for_timeout(300)
    x, y = desk.centre(2)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 7):
        page.mouse.move(x + 4 * step, y - 2 * step)
    desk.wait("document.getElementById('cost').textContent !== ''")
    assert "min" in page.inner_text("#cost") or "as long" in page.inner_text("#cost")
    desk.do(page.mouse.up)
    assert len(desk.trip["wishes"]["must"]) == 1
    assert [stop["must"] for stop in desk.plan["stops"]].count(0) == 1
    assert "# said by Ada" in (desk.folder / "trip.toml").read_text(encoding="utf-8")


def test_undo_and_redo_go_back_and_forth(desk: RunningDesk) -> None:
    desk.do(lambda: desk.page.click("#undo"))
    assert "wishes" not in desk.trip
    desk.do(lambda: desk.page.keyboard.press("Control+y"))
    assert len(desk.trip["wishes"]["must"]) == 1


def test_stops_are_locked_forbidden_and_moved_by_keys(desk: RunningDesk) -> None:
    page = desk.page
    free = next(k for k, stop in enumerate(desk.plan["stops"]) if stop["must"] is None)
    page.locator(".pick").nth(free).click()
    desk.do(lambda: page.click("#forbid"))
    assert len(desk.trip["wishes"]["must_not"]) == 1
    free = next(k for k, stop in enumerate(desk.plan["stops"]) if stop["must"] is None)
    page.locator(".pick").nth(free).click()
    desk.do(lambda: page.click("#lock"))
    assert len(desk.trip["wishes"]["must"]) == 2
    locked = next(k for k, stop in enumerate(desk.plan["stops"]) if stop["must"] == 1)
    before = desk.trip["wishes"]["must"]
    page.locator(".pick").nth(locked).focus()
    page.keyboard.press("Enter")
    page.click("#move")
    for key in ("ArrowUp", "ArrowRight", "Shift+ArrowRight"):
        page.keyboard.press(key)
    desk.do(lambda: page.keyboard.press("Enter"))
    assert desk.trip["wishes"]["must"][0] == before[0]
    assert desk.trip["wishes"]["must"][1] != before[1]


def test_lines_ground_and_hours_are_drawn_and_typed(desk: RunningDesk) -> None:
    page = desk.page
    page.click("[data-tool=line]")
    assert page.locator("#hint-done").is_disabled()
    for east in (-0.003, 0.003):  # by key: what lies under the cross
        page.evaluate(f"DeskMap.map.setView([47.3735, -90.349 + {east}], 16, {{ animate: false }})")
        page.click("#hint-here")
    desk.do(lambda: page.click("#hint-done"))
    assert len(desk.trip["wishes"]["not_across"][0]) == 2
    page.click("[data-tool=ground]")
    box = page.locator("#map").bounding_box()
    for x, y in ((300, 300), (380, 300), (340, 360)):
        page.mouse.click(box["x"] + x, box["y"] + y)
    desk.do(lambda: page.click("#hint-done"))
    assert len(desk.trip["closed"][-1]["corners"]) == 3
    page.click("[data-tool=ground]")
    page.keyboard.press("Escape")
    desk.do(lambda: page.click("#undo"))
    desk.do(lambda: page.click("#undo"))
    assert "not_across" not in desk.trip["wishes"]
    desk.do(lambda: (page.fill("[name=back_by]", "07:00"), page.locator("[name=back_by]").blur()))
    assert str(desk.trip["morning"]["back_by"]) == "07:00:00"
    page.locator("[name=back_by]").fill("03:00")
    page.locator("[name=back_by]").blur()
    page.wait_for_selector("#fault:not([hidden])", timeout=LONG_MS)
    assert "back_by" in page.inner_text("#fault")
    desk.do(lambda: page.click("#undo"))


def test_versions_have_names_and_are_held_against_each_other(desk: RunningDesk) -> None:
    page = desk.page
    desk.wait(PLANNED)
    page.click("#open-history")
    page.wait_for_selector("#history li input")
    name = page.locator("#history li input").last
    name.fill("by the <i>creek</i>")
    name.blur()
    page.locator("#history button:has-text('Compare')").last.click()
    page.wait_for_selector(".compared td")
    assert page.locator(".compared td").count() >= 10
    assert page.locator(".stop.other").count() > 0
    page.click("text=End comparing")
    assert page.locator(".stop.other").count() == 0
    desk.do(page.locator("#history button:has-text('Go back to it')").last.click, WHOLE)
    assert page.evaluate("Start.last.version") == 1
    assert "wishes" not in desk.trip
    page.click("#open-history")


def test_an_edit_from_outside_is_seen(desk: RunningDesk) -> None:
    path = desk.folder / "trip.toml"
    text = path.read_text(encoding="utf-8").replace("temperature_c = 1.0", "temperature_c = 2.0")
    desk.do(lambda: path.write_text(text, encoding="utf-8"))
    path.write_text(text + "\n[oops\n", encoding="utf-8")
    desk.wait("Start.last.fault.includes('bracket')")
    desk.page.click("#undo")
    desk.wait(f"{PLANNED} && Start.last.fault === ''")
    assert path.read_text(encoding="utf-8") == text


def test_a_reader_of_miles_reads_and_types_them(desk: RunningDesk) -> None:
    page, trip = desk.page, desk.folder / "trip.toml"
    assert page.inner_text("#headline").endswith("km")
    assert "m/s" in page.inner_text("#hours")
    text = trip.read_text(encoding="utf-8").replace('units = "metric"', 'units = "us"')
    desk.do(lambda: trip.write_text(text, encoding="utf-8"))
    assert page.inner_text("#headline").endswith("miles")
    bar = page.inner_text(".leaflet-control-scale")
    assert bar.endswith(("ft", "mi"))
    assert "mph" in page.inner_text("#hours")
    desk.do(lambda: (page.fill("[name=wind_at_ear_ms]", "5"), page.keyboard.press("Tab")))
    assert desk.trip["weather"]["wind_at_ear_ms"] == pytest.approx(5 * 0.44704, abs=0.01)  # NIST: a mile is 1609.344 m
    assert page.input_value("[name=wind_at_ear_ms]") == "5.0"
    assert page.evaluate("Start.last.said") == "wind at the ear 5.0 mph"
    for _ in range(2):
        desk.do(lambda: page.click("#undo"))
    assert page.inner_text("#headline").endswith("km")


def test_a_second_desk_is_refused_and_a_killed_one_loses_nothing(desk: RunningDesk) -> None:
    words = [sys.executable, "-m", "hushwalk", "desk", str(desk.folder), "--no-browser"]
    said = subprocess.run(words, capture_output=True, text=True, check=False)
    assert said.returncode == 2
    assert "another desk works on" in said.stderr
    stands = "[Start.last.version, Start.last.undo]"
    before = (desk.folder / "trip.toml").read_bytes(), desk.page.evaluate(stands)
    desk.stop(signal.SIGKILL)
    desk.start()
    desk.wait(WHOLE)
    assert before == (
        (desk.folder / "trip.toml").read_bytes(),
        desk.page.evaluate("[Start.last.version, Start.last.undo]"),
    )


def test_the_command_line_gives_the_plan_of_the_desk(desk: RunningDesk) -> None:
    desk.do(lambda: desk.page.click("#lock-all"), WHOLE)
    words = ["plan", str(desk.folder / "trip.toml"), "--steps", "3000", "--proof-steps", "12"]
    said = subprocess.run([sys.executable, "-m", "hushwalk", *words], capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stderr
    summary = json.loads(next((desk.folder / "out").rglob("summary.json")).read_text(encoding="utf-8"))
    shown = [(stop["name"], *stop["at"]) for stop in desk.plan["stops"]]
    assert shown == [(stop["name"], stop["lat_deg"], stop["lon_deg"]) for stop in summary["stops"]]
    assert desk.plan["males"] == pytest.approx(summary["males"]["expected"], abs=0.01)


@pytest.mark.parametrize("size", [LAPTOP, TABLET])
def test_all_can_be_read_reached_and_named(desk: RunningDesk, size: tuple[int, int]) -> None:
    page: Page = desk.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.locator(".pick").first.click()
    for light in ("day", "red"):
        if light == "red":
            page.click("#night")
        dim = [(words, round(ratio, 2)) for words, ratio in page.evaluate(MEASURE, "#panel") if ratio < 4.5]
        assert dim == [], light
    page.click("#night")
    levels = page.evaluate(
        "() => [...document.querySelectorAll('h1,h2,h3')].filter(h => h.checkVisibility()).map(h => +h.tagName[1])"
    )
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    nameless = page.evaluate("""() => [...document.querySelectorAll('button, input, select, [role=button]')]
        .filter(e => e.checkVisibility() && !(e.innerText || e.getAttribute('aria-label') || e.labels?.length
            || e.title)).map(e => e.outerHTML.slice(0, 90))""")
    assert nameless == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    page.locator("#undo").focus()
    for _ in range(12):
        page.keyboard.press("Tab")
        style = page.evaluate(
            "(({outlineStyle, outlineWidth}) => [outlineStyle, outlineWidth])(getComputedStyle(document.activeElement))"
        )
        assert style[0] not in {"none", "auto"}


def test_nothing_was_asked_elsewhere_and_nothing_went_wrong(desk: RunningDesk) -> None:
    assert desk.elsewhere == []
    refused = [fault for fault in desk.faults if "422" not in fault and "ERR_" not in fault]
    assert refused == []
