"""Every tool of the page, used as a person would, in a real browser with the network cut off."""

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader
from pyproj import Transformer

from hushwalk.grid.points import usng_text
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import BANDS, rgb
from hushwalk.wording.morning_words import noise_words, reason_words


class Opened:
    """A page with everything that it asked for and complained of."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.asked, self.complaints = page, [], []
        page.on("request", lambda r: None if r.url.startswith("data:") else self.asked.append(r.url))
        page.on("console", lambda m: self.complaints.append(m.text))
        page.on("pageerror", lambda e: self.complaints.append(str(e)))
        page.route(re.compile(r"^https?:"), lambda route: route.abort())
        page.goto(address)
        page.wait_for_selector(".stop")


@pytest.fixture(scope="module", params=["laptop", "phone"])
def opened(request: pytest.FixtureRequest, address: str, chromium: Browser) -> Iterator[Opened]:
    phone = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    laptop = {"viewport": {"width": 1280, "height": 900}}
    context = chromium.new_context(offline=True, **(phone if request.param == "phone" else laptop))
    output = Opened(context.new_page(), address)
    yield output
    assert output.complaints == []
    assert set(output.asked) == {address}
    context.close()


@pytest.fixture
def page(opened: Opened) -> Page:
    opened.page.evaluate("hushwalkMap.closePopup()")
    opened.page.click("#whole")
    opened.page.evaluate("scrollTo(0, 0)")  # the click scrolls to the button where it stands below the screen
    return opened.page


def popup(page: Page) -> str:
    """Words of the newest popup; the one before it may still be fading away."""
    return page.locator(".leaflet-popup-content").last.inner_text()


def click_at(page: Page, report: Report, xy: tuple[float, float]) -> None:
    lon, lat = Transformer.from_crs(report.grid.crs, 4326, always_xy=True).transform(*xy)
    page.evaluate(f"hushwalkMap.setView([{lat}, {lon}], 17, {{animate: false}})")
    place = page.evaluate("(() => {const r = hushwalkMap.getContainer().getBoundingClientRect(); return [r.x, r.y]})()")
    dot = page.evaluate(
        f"(() => {{const p = hushwalkMap.latLngToContainerPoint([{lat}, {lon}]); return [p.x, p.y]}})()"
    )
    page.mouse.click(place[0] + dot[0], place[1] + dot[1])


def test_each_layer_toggles(page: Page) -> None:
    count = "document.querySelectorAll('.leaflet-map-pane path, .leaflet-map-pane img, .leaflet-map-pane .pin').length"
    boxes = page.locator(".leaflet-control-layers-overlays input")
    box = page.locator(".leaflet-control-layers-toggle").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.wait_for_timeout(100)  # the first touch only opens the list
    assert boxes.count() == 13
    for k in range(boxes.count()):
        before, was = page.evaluate(count), boxes.nth(k).is_checked()
        boxes.nth(k).click()
        after = page.evaluate(count)
        assert (after < before) if was else (after > before), (
            page.locator(".leaflet-control-layers-overlays label").nth(k).inner_text()
        )
        boxes.nth(k).click()
        assert page.evaluate(count) == before
    page.mouse.move(5, 5)


def test_each_stop_opens_and_says_what_to_do(page: Page, report: Report) -> None:
    for stop in report.stops:
        page.evaluate(f"document.querySelector('[data-stop=\"{stop.number}\"]').click()")
        output = popup(page)
        words = (noise_words(stop.noise), stop.place.usng, reason_words(stop)[0])
        for one in (f"{stop.arrive:%H:%M}", f"{stop.leave:%H:%M}", *words):
            assert one in output


def test_a_click_answers_why_here_with_the_values_of_that_cell(page: Page, report: Report) -> None:
    country = report.country
    for row, col in ((60, 60), (120, 200), (200, 40)):
        xy = tuple(report.grid.xy([row], [col])[0])
        click_at(page, report, xy)
        output = popup(page)
        value = country.suitability.values[row, col]
        band = next(b for b in BANDS if value < b.high or b is BANDS[-1])
        assert float(re.search(r"suitability\s+([\d.]+), (.+)", output)[1]) == pytest.approx(value, abs=0.0071)
        assert band.word in output
        assert country.kinds[int(country.cover.values[row, col])][1] in output
        assert float(re.search(r"height\s+(\d+) m", output)[1]) == pytest.approx(
            country.elevation.values[row, col], abs=0.8
        )
        males = float(re.search(r"about ([\d.]+) to", output)[1])
        assert males == pytest.approx(country.density_per_km2.values[row, col], abs=0.07)
        for part in country.ingredients:
            score = float(re.search(rf"([\d.]+)\s+{re.escape(part.label)}", output)[1])
            assert score == pytest.approx(part.layer.values[row, col], abs=0.0071)
        assert "limiting" in output
        assert page.inner_text("#said") != ""


def test_unknown_ground_and_ground_beyond_are_told(page: Page, report: Report) -> None:
    west, south, _, north = report.grid.bounds
    click_at(page, report, (west + 60, north - 60))
    assert "not known here" in popup(page)
    click_at(page, report, (west - 200, south - 200))
    assert "Outside the ground of this trip" in popup(page)


def test_the_page_counts_metres_like_proj_and_squares_like_the_grid_standard(page: Page) -> None:
    rng = np.random.default_rng(11)
    for zone in (6, 11, 15, 16, 19, 34):
        to = Transformer.from_crs(4326, 32600 + zone, always_xy=True)
        for lon, lat in zip(rng.uniform(-3, 3, 12) + zone * 6 - 183, rng.uniform(25, 70, 12), strict=True):
            if zone == 34 and lat > 55:
                continue  # the exceptions of Norway are not asked here
            output = page.evaluate(f"Place.toMetres({lon}, {lat}, {zone}, false)")
            assert output == pytest.approx(to.transform(lon, lat), abs=0.001)
            said, true = page.evaluate(f"Place.usng({lon}, {lat})").split(), usng_text((lon, lat)).split()
            assert said[:2] == true[:2]
            assert [int(said[k]) for k in (2, 3)] == pytest.approx([int(true[k]) for k in (2, 3)], abs=1)


def test_published_grid_reference_of_the_standard(page: Page) -> None:
    """FGDC-STD-011-2001: 18SUJ2348306479 at this place (as PROJ gives its longitude and latitude)."""
    assert page.evaluate("Place.usng(-77.0352402156242, 38.889467309501576)") == "18S UJ 23483 06479"


def test_the_place_is_read_out_in_three_ways(page: Page, report: Report) -> None:
    lon, lat = report.stops[0].place.lon_deg, report.stops[0].place.lat_deg
    page.mouse.move(5, 5)
    page.evaluate(f"hushwalkMap.setView([{lat}, {lon}], 16, {{animate: false}})")
    if page.evaluate("innerWidth") > 600:
        box = page.locator("#map-place .folium-map").bounding_box()
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    output = page.inner_text("#place")
    assert "15T WN 981" in output
    assert "UTM 15T 598" in output
    degrees = [float(number) for number in re.findall(r"([\d.]+)°", output)]
    assert degrees == pytest.approx([lat, -lon], abs=2e-5)
    assert "W" in output


def test_measure_gives_length_and_bearing(page: Page, report: Report) -> None:
    page.click("#measure")
    start = report.stops[1].place.xy_m
    for xy in (start, (start[0] + 300, start[1]), (start[0] + 300, start[1] + 400)):
        lon, lat = Transformer.from_crs(report.grid.crs, 4326, always_xy=True).transform(*xy)
        page.evaluate(f"hushwalkMap.fire('click', {{latlng: L.latLng({lat}, {lon})}})")
    assert page.inner_text("#measured") == "700 m in all; last piece 001° true, 002° compass"
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("Backspace")
    assert page.inner_text("#measured").startswith("300 m in all; last piece 091° true, 092° compass")
    page.keyboard.press("Escape")
    assert page.locator("#measured").is_hidden()
    assert page.get_attribute("#measure", "aria-pressed") == "false"


def test_the_legend_shows_the_colours_of_the_map(page: Page) -> None:
    shown = page.eval_on_selector_all("#legend i", "all => all.map(i => getComputedStyle(i).backgroundColor)")
    assert shown == [f"rgb{rgb(band.colour)}" for band in BANDS]
    drawn = page.evaluate("""() => { const image = document.getElementById('suitability'), canvas =
        document.createElement('canvas'); canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
        const pen = canvas.getContext('2d'); pen.drawImage(image, 0, 0); const seen = new Set(), all =
        pen.getImageData(0, 0, canvas.width, canvas.height).data; for (let k = 0; k < all.length; k += 4)
        if (all[k + 3] === 255) seen.add(`rgb(${all[k]}, ${all[k + 1]}, ${all[k + 2]})`); return [...seen]; }""")
    assert set(drawn) == set(shown)


def test_no_time_hides_a_stop(page: Page) -> None:
    boxes = """kind => [...document.querySelectorAll(kind)].filter(e => e.offsetParent !== null || e.offsetWidth)
        .map(e => e.getBoundingClientRect()).filter(r => r.width > 0).map(r => [r.left, r.top, r.right, r.bottom])"""
    times, stops = page.evaluate(boxes, ".time"), page.evaluate(boxes, ".stop")
    assert len(stops) == 5
    assert len(times) >= 3
    for t in times:
        for s in stops:
            assert t[0] >= s[2] - 1 or s[0] >= t[2] - 1 or t[1] >= s[3] - 1 or s[1] >= t[3] - 1


def test_it_works_without_a_mouse(page: Page) -> None:
    page.locator(".leaflet-marker-icon[role=button]").first.focus()
    page.keyboard.press("Enter")
    assert page.locator(".leaflet-popup-content").last.is_visible()
    page.keyboard.press("Escape")
    page.locator("#whyhere").focus()
    page.keyboard.press("Enter")
    assert "Why here" in popup(page)


def test_everything_has_a_name_and_room_for_a_thumb(page: Page) -> None:
    nameless = page.evaluate("""() => [...document.querySelectorAll('button, a[href], [role=button], input, img')]
        .filter(e => e.checkVisibility() && !(e.innerText || '').trim() && !e.getAttribute('aria-label') && !e.title
            && e.getAttribute('alt') === null && !e.closest('label')).map(e => e.outerHTML.slice(0, 120))""")
    assert nameless == []
    small = page.evaluate("""() => [...document.querySelectorAll('button, .leaflet-bar a')]
        .filter(e => e.checkVisibility()).filter(e => e.getBoundingClientRect().height < 43).map(e => e.outerHTML)""")
    assert small == []
    assert page.evaluate("document.documentElement.lang") == "en"
    assert page.locator("h1").count() == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("innerWidth") + 1


def test_red_light_darkens_and_goes_again(page: Page) -> None:
    page.click("#night")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") in {"rgb(0, 0, 0)", "rgba(0, 0, 0, 0)"}
    assert page.evaluate("getComputedStyle(document.documentElement).color") == "rgb(255, 0, 0)"
    page.reload()
    page.wait_for_selector(".stop")
    assert page.evaluate("getComputedStyle(document.documentElement).color") == "rgb(255, 0, 0)"
    assert page.get_attribute("#night", "aria-pressed") == "true"
    page.click("#night")
    assert page.evaluate("getComputedStyle(document.documentElement).color") == "rgb(22, 24, 29)"


def test_hostile_words_are_shown_as_words(page: Page, report: Report) -> None:
    assert page.inner_text("h1") == report.title


def test_without_scripts_picture_and_timetable_are_there(address: str, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False, offline=True, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(address)
    box = page.locator("#relief").bounding_box()
    assert 300 < box["width"] <= 390
    assert box["height"] == pytest.approx(box["width"], rel=0.1)
    assert page.locator("#picture svg path").count() > 20
    assert not page.locator("#map-place").is_visible()
    assert not page.locator(".tools").is_visible()
    assert "05:02" in page.inner_text("table")
    context.close()


def test_the_page_prints_small_with_the_picture_all_stops_and_a_word_about_the_sheet(
    address: str, chromium: Browser, report: Report, tmp_path: Path
) -> None:
    page = chromium.new_page(viewport={"width": 1280, "height": 900})
    page.goto(address)
    page.wait_for_selector(".stop")
    page.pdf(path=tmp_path / "page.pdf", format="A4")
    page.close()
    printed = tmp_path / "page.pdf"
    words = [one.extract_text() for one in PdfReader(printed).pages]
    assert printed.stat().st_size < 3_000_000
    assert "print the sheet beside this page" in words[0]
    assert "Why at the cross?" not in " ".join(words)
    for stop in report.stops:
        assert f"{stop.arrive:%H:%M}" in " ".join(words)
    assert any("Cautions" in one for one in words)
