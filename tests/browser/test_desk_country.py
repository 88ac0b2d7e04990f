"""The desk before there is a trip, in a real browser: a region drawn and ranked, layers gathered, a phone beside it.

Services are made ones on this machine. The run of the desk itself is that of test_desk.py.
"""

import importlib.util
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from playwright.sync_api import Browser
from pytest_httpserver import HTTPServer
from tests.browser.test_desk import HERE, LONG_MS, RunningDesk

HALF_KM = 4.2  # the square that is gathered round a car, and its surroundings
DRAWN = "document.querySelectorAll('.leaflet-image-layer').length"


def made(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, HERE.parent / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def opened(chromium: Browser, tmp_path: Path) -> Iterator[Any]:
    """Open the desk of a folder; it ends with the test."""
    running: list[RunningDesk] = []

    def start(**more: Any) -> RunningDesk:
        desk = RunningDesk(tmp_path, chromium, **more)
        running.append(desk)
        desk.start()
        desk.page.set_default_timeout(LONG_MS)
        return desk

    yield start
    for desk in running:
        desk.stop()


def fine(desk: RunningDesk) -> None:
    assert desk.page.locator("#fault").inner_text() == ""
    assert desk.faults == desk.elsewhere == []


def test_a_region_is_drawn_ranked_and_begun_at_a_place(opened: Any, tmp_path: Path) -> None:
    region = made("made_region")
    region.make_region(tmp_path)
    text = (tmp_path / "areas.toml").read_text().replace("spacing_m = 1500.0", "spacing_m = 3000.0")
    (tmp_path / "areas.toml").write_text(text.replace("longest_walk_km = 5.0", "longest_walk_km = 3.0"))
    desk = opened()
    page = desk.page
    desk.wait(DRAWN)
    assert "Made country" in page.inner_text("#country-drawn")
    far = region.SIZE * region.CELL
    tall_m = page.evaluate("DeskMap.bounds.getSouthWest().distanceTo(DeskMap.bounds.getNorthWest())")
    assert tall_m == pytest.approx(far, rel=0.02), "all of the region is on the map"
    page.click("#country-point")  # a place of the region that nobody ranked
    page.mouse.click(420, 360)
    page.locator("#country-facts dt", has_text="road").wait_for()
    facts = page.inner_text("#country-facts")
    assert "America/Chicago" in facts
    assert "25 April 2027" in facts, "the day of the area file"
    page.click("#country-areas")
    page.locator("#country-ranked tbody tr").nth(1).wait_for()
    assert page.locator("#country-ranked th").count() >= 8
    page.locator(".found.place", has_text="2").click()
    assert page.inner_text("#country-why h3").startswith("2. ")
    assert "males" in page.inner_text("#country-why p")
    box = page.locator("#country-why button").bounding_box()
    assert box["y"] + box["height"] <= 720, "what starts a trip there is seen without searching for it"
    page.click("#country-why button")
    desk.wait("Start.last.trip")
    assert page.get_attribute("[aria-current]", "data-room") == "morning"
    assert (tmp_path / "trip.toml").read_text().startswith("# Area 2 of Made country: ")
    fine(desk)


def test_layers_are_gathered_with_the_network_on_and_never_with_it_off(opened: Any, tmp_path: Path) -> None:
    services, aside = made("made_services"), tmp_path.with_name(f"{tmp_path.name}-aside")
    aside.mkdir()
    with HTTPServer(host="127.0.0.1", port=0) as server:
        country = services.MadeServices(server, services.PLACES["us"], HALF_KM)
        env = {"HUSHWALK_SERVICES": str(country.table(aside)), "HUSHWALK_ANSWERS": str(aside / "answers")}
        desk = opened(env=env)
        page = desk.page
        page.fill("#country-text", "47.62, -91.70")
        page.keyboard.press("Enter")
        page.locator("#country-gather-box:visible").wait_for()
        assert not page.is_checked("#country-network")
        assert page.locator("#country-gather").is_disabled()
        page.evaluate("document.querySelector('#country-gather').click()")
        refused = page.evaluate("Desk.ask('country/gather', { at: [47.62, -91.7] }).catch(wrong => wrong.message)")
        assert "switch the network on" in refused
        assert country.asked == []
        desk.faults.clear()  # the browser counts what was refused as a fault of the network
        page.check("#country-network")
        page.click("#country-gather")
        assert not page.is_checked("#country-network"), "the leave holds for this once"
        page.locator("#country-begin:visible").wait_for()
        assert country.asked
        assert "elevation" in page.locator("#country-got").text_content()
        assert "never permission to enter" in page.locator("#country-got").text_content()
        assert "on or beside a road" in page.inner_text("#country-facts")
        desk.wait(DRAWN)
        page.click("#country-begin")
        desk.wait("Start.last.trip")
        assert desk.trip["place"]["car"] == "47.620000, -91.700000"
        assert {"elevation", "cover", "roads"} <= {layer["kind"] for layer in desk.trip["layer"]}
        fine(desk)


def test_a_phone_opens_what_was_written_and_nothing_else(opened: Any, tmp_path: Path) -> None:
    out = tmp_path / "out" / "2027-04-24"
    out.mkdir(parents=True)
    (out / "map.html").write_text("<!DOCTYPE html><title>x</title><h1>The page</h1>")
    desk = opened(more=("--lan",))
    desk.page.click("[data-room=take]")
    address = desk.page.locator("#take-phone-address:visible").inner_text()
    assert address.startswith("http://")
    port = address.split("/")[2].partition(":")[2]
    address = address.replace(address.split("/")[2], f"127.0.0.1:{port}")
    phone = desk.browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    phone.goto(address)
    assert phone.locator("a").all_inner_texts() == ["map.html"]
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    phone.click("a")
    assert phone.inner_text("h1") == "The page"
    for path in ("api/news", "trip.toml", "desk_history.sqlite"):
        assert phone.request.get(f"{address}{path}").status == 404
    assert phone.request.post(f"{address}api/undo").status == 405
    assert phone.request.get(f"http://127.0.0.1:{port}/").status == 404
    phone.context.close()
    fine(desk)
