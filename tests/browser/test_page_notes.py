"""Notes taken on the map page, in a real browser with the network cut off: typed, kept, changed, drawn, handed over."""

import io
import re
from collections.abc import Iterator

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page

from hushwalk.grid.points import to_metres
from hushwalk.morning.report import Report
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd
from hushwalk.science.crossing import lenth_crossing
from hushwalk.science.search_theory import crossing_area_m2

SMALL = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
GLOVE_PX = 55  # judgement: a gloved finger tip is 14 to 20 mm wide, and a phone has about 6 px to the millimetre
CONTRAST = 4.5  # WCAG 2.2, 1.4.3
LIMITS = {"crossing_min_deg": 20, "far_m": 800, "share": 0.8}
LINE = re.compile(r"[\w.= \",-]+ \d\d:\d\d:\d\d( phone)?")


def open_page(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.complaints = []
    page.on("console", lambda m: page.complaints.append(m.text))
    page.on("pageerror", lambda e: page.complaints.append(str(e)))
    page.goto(address)
    ready(page)
    return page


def ready(page: Page) -> None:
    page.wait_for_selector("#notes[data-ready]", state="attached")
    if page.locator("#notes").is_hidden():
        page.click("#take")


@pytest.fixture
def page(chromium: Browser, address: str) -> Iterator[Page]:
    context = chromium.new_context(offline=True, accept_downloads=True, **SMALL)
    opened = open_page(context, address)
    yield opened
    assert opened.complaints == []
    context.close()


def to_stop(page: Page, name: str) -> None:
    for _ in range(20):
        if page.inner_text("#stop-name") == name:
            return
        page.click("#stop-on")
    raise AssertionError(name)


def take(page: Page, stop: str, keys: str, bird: str = "", far: str = "") -> None:
    to_stop(page, stop)
    for key in keys:
        page.click(f'[data-key="{key}"]')
    page.click(f'#birds [data-value="{bird}"]')
    if far:
        page.click(f'#distances [data-value="{far}"]')
    kept(page, "#keep")


def kept(page: Page, button: str) -> str:
    """Press a button that writes, and wait until the disk has it."""
    before = page.get_attribute("#notes-status", "data-kept")
    page.click(button)
    page.wait_for_function(
        "before => { const now = document.getElementById('notes-status').dataset.kept; return now && now !== before; }",
        arg=before,
    )
    return page.inner_text("#notes-status")


def lines(page: Page) -> list[str]:
    """Notes on the page without their times, the oldest first."""
    return [re.sub(r" \d\d:\d\d:\d\d", "", words) for words in reversed(page.locator("#kept span").all_inner_texts())]


def saved(page: Page) -> str:
    with page.expect_download() as download:
        page.click("#save")
    return download.value.path().read_text(encoding="utf-8")


def test_what_is_tapped_is_kept_as_a_line_and_drawn(page: Page) -> None:
    take(page, "P02", "345", "B1", "near")
    assert page.inner_text("#notes-status").startswith("Kept: P02 B1 345M near ")
    assert page.locator(".noted-line").count() == 1
    assert page.locator(".noted-ground").count() == 0
    take(page, "P03", "050", "B1", "mid")
    assert page.locator(".noted-line").count() == 2
    assert page.locator(".noted-ground").count() == 1
    assert "B1: 2 bearings cross at 15T WN" in page.inner_text("#crossings")
    to_stop(page, "P04")
    kept(page, "#nil")
    assert lines(page) == ["P02 B1 345M near", "P03 B1 050M mid", "P04 nil"]
    assert page.inner_text("#count") == "3 notes"
    page.reload()
    ready(page)
    assert lines(page) == ["P02 B1 345M near", "P03 B1 050M mid", "P04 nil"]
    assert page.locator(".noted-ground").count() == 1


def test_map_and_buttons_are_one_tap_apart(page: Page) -> None:
    take(page, "P02", "345", "B1")
    take(page, "P03", "050", "B1")
    page.click("#see")
    inside = "e => { const r = e.getBoundingClientRect(); return r.top >= -1 && r.bottom <= innerHeight + 1; }"
    assert page.eval_on_selector(".noted-bird", inside)
    assert not page.eval_on_selector("#keep", inside)
    page.evaluate("document.getElementById('take').scrollIntoView({block: 'end'})")
    page.click("#take")
    assert page.eval_on_selector("#stop-name", inside)
    page.evaluate("scrollTo(0, 0); document.getElementById('take').scrollIntoView({block: 'start'})")
    page.click("#take")
    assert page.locator("#notes").is_hidden()


def test_the_moment_of_hearing_is_held_while_the_bearing_is_read(page: Page) -> None:
    page.click("#now")
    heard = page.inner_text("#now")
    assert re.fullmatch(r"Heard at \d\d:\d\d", heard)
    page.wait_for_timeout(1100)
    take(page, "P01", "1", "")
    first = re.search(r"(\d\d:\d\d):(\d\d)", page.locator("#kept span").inner_text())
    assert first
    assert first[1] == heard[-5:]
    assert page.inner_text("#now") == "Heard now"
    zone = page.evaluate(
        "new Date().toLocaleTimeString('en-GB', {timeZone: 'America/Chicago', hour: '2-digit', minute: '2-digit'})"
    )
    minutes = [int(t[:2]) * 60 + int(t[3:]) for t in (first[1], zone)]
    assert (minutes[1] - minutes[0]) % 1440 <= 1  # the clock of the trip, whatever the zone of the machine


def test_a_bearing_can_be_typed_and_a_wrong_one_is_refused(page: Page) -> None:
    for wrong in ("", "361", "8a", "-4", "NNE"):
        page.fill("#reading", wrong)
        page.click("#keep")
        assert "is no bearing: write 0 to 360" in page.inner_text("#notes-status")
    page.fill("#reading", "85,5")
    page.press("#reading", "Enter")
    page.wait_for_selector("#kept li")
    assert lines(page) == ["P01 085.5M"]


def test_notes_are_changed_removed_and_brought_back(page: Page) -> None:
    take(page, "P01", "085", "B1", "far")
    take(page, "P02", "120", "B2")
    page.locator("#kept button", has_text="Change").last.click()
    assert page.inner_text("#stop-name") == "P01"
    assert page.input_value("#reading") == "085"
    page.fill("#reading", "095")
    assert kept(page, "#keep").startswith("Changed: P01 B1 095M far")
    assert lines(page) == ["P01 B1 095M far", "P02 B2 120M"]
    kept(page, "#kept button:has-text('Remove') >> nth=0")
    assert lines(page) == ["P01 B1 095M far"]
    assert kept(page, "#undo") == "Undone: the removal."
    assert lines(page) == ["P01 B1 095M far", "P02 B2 120M"]
    assert kept(page, "#undo") == "Undone: the change."
    assert kept(page, "#undo") == "Undone: the new note."
    assert lines(page) == ["P01 B1 085M far"]
    page.reload()
    ready(page)
    assert lines(page) == ["P01 B1 085M far"]
    assert kept(page, "#undo") == "Undone: the new note."
    page.click("#undo")
    assert page.inner_text("#notes-status") == "There is nothing to undo."


def test_a_log_and_how_often_he_was_heard_are_noted_changed_and_written(page: Page) -> None:
    for _ in range(3):
        page.click("#again")
    assert page.inner_text("#again") == "Heard 4 times"
    take(page, "P01", "085", "B1", "near")
    assert page.inner_text("#again") == "Heard once"
    page.click("#log")
    assert page.inner_text("#log-name") == "LOG01"
    page.click("#keep-log")
    assert "Say what droppings" in page.inner_text("#notes-status")
    page.click('#droppings [data-value="old"]')
    kept(page, "#keep-log")
    assert page.locator("#log-form").is_hidden()
    bearing, log = lines(page)
    assert bearing == "P01 B1 085M near x4"
    assert re.fullmatch(r'LOG01 old at="[-\d., ]+"', log)
    page.click('[aria-label^="Change LOG01"]')
    assert page.locator("#keep").is_disabled()
    assert page.locator("#log").is_disabled()
    page.click('#droppings [data-value="fresh"]')
    page.click('#sides [data-value="SW"]')
    page.click('#birds [data-value="B1"]')
    kept(page, "#keep-log")
    assert lines(page)[1] == log.replace("old", "fresh") + " B1 dropping_side=SW"
    page.click("#log")
    assert page.inner_text("#log-name") == "LOG02"
    page.click("#log-back")
    assert page.inner_text("#log-name") == "LOG01"


def test_a_place_that_is_no_stop_is_the_cross_of_the_map(page: Page) -> None:
    page.evaluate("hushwalkMap.setView([47.5981234, -91.7012345], 17, {animate: false})")
    to_stop(page, "cross of the map")
    take(page, "cross of the map", "7", "B3")
    said = re.fullmatch(r'at="([\d.-]+), ([\d.-]+)" B3 007M', lines(page)[0])
    assert said
    kept(page, "#nil")
    assert lines(page)[1] == f'at="{said[1]}, {said[2]}" nil'
    assert [float(said[1]), float(said[2])] == pytest.approx([47.5981234, -91.7012345], abs=3e-5)


def test_a_stop_that_was_planned_anew_keeps_the_place_of_its_notes(page: Page, report: Report) -> None:
    take(page, "P01", "010", "B1")
    place = report.stops[0].place
    said = page.evaluate("""at => NoteLines.line({kind: 'bearing', stop: 'P01', at, bird: 'B1', reading: 10, north: 'M',
        time: '06:12:00'}, [{name: 'P01', at: [at[0] + 0.001, at[1]]}])""", [place.lat_deg, place.lon_deg])  # fmt: skip
    assert said == f'P01 at="{place.lat_deg:.6f}, {place.lon_deg:.6f}" B1 010M 06:12:00'


def turn_phone(page: Page, alpha: float) -> None:
    """Let the phone say how far it is turned, against the clock from north, once it is asked."""
    page.click("#compass")
    page.locator("#notes-status", has_text="Hold the phone flat").wait_for()
    page.evaluate(
        "alpha => dispatchEvent(new DeviceOrientationEvent('deviceorientationabsolute', {alpha, beta: 0, gamma: 0, "
        "absolute: true}))",
        alpha,
    )
    page.locator("#notes-status", has_text="Read by the phone's compass").wait_for()


def test_the_compass_of_the_phone_fills_the_bearing_and_is_marked(page: Page) -> None:
    turn_phone(page, 270.4)
    assert page.input_value("#reading") == "090"
    kept(page, "#keep")
    assert page.locator("#kept span").inner_text().endswith(" phone")
    assert lines(page) == ["P01 090M phone"]
    turn_phone(page, 0)
    assert page.input_value("#reading") == "000"
    take(page, "P01", "12")
    assert lines(page)[1] == "P01 012M"  # keys pressed afterwards are the person's own reading


CASES = (
    [((0, 0), 60.0), ((300, 0), 330.0)],
    [((0, 0), 45.0), ((250, -40), 345.0), ((-120, 200), 82.0)],
    [((0, 0), 10.0), ((80, 0), 335.0)],
)


@pytest.mark.parametrize("bearings", CASES, ids=["two", "three", "narrow"])
def test_bearings_cross_where_the_maximum_likelihood_of_lenth_has_them(page: Page, bearings: list) -> None:
    sd = 10.0
    asked = [{"xy": list(xy), "azimuth": azimuth} for xy, azimuth in bearings]
    found = page.evaluate("([all, sd, limits]) => NoteLines.crossing(all, sd, limits)", [asked, sd, LIMITS])
    stations = np.array([xy for xy, _ in bearings], dtype=float)
    lenth = lenth_crossing(stations, [azimuth for _, azimuth in bearings], kappa=kappa_of_sd(sd))
    far = np.hypot(*(stations - found["place"]).T).max()
    assert np.hypot(*(lenth.xy_m - found["place"])) < 0.03 * far  # sines of the misses against the misses themselves
    spread, axes = np.linalg.eigh(lenth.covariance_m2)
    minor, major = np.sqrt(-2 * np.log(0.2) * spread)  # -2 ln(1 - p): chi-square with 2 degrees of freedom
    assert found["major"] == pytest.approx(major, rel=0.1)
    assert found["minor"] == pytest.approx(minor, rel=0.1)
    assert abs((found["azimuth"] - np.degrees(np.arctan2(*axes[:, 1])) + 90) % 180 - 90) < 6
    if len(bearings) == 2:
        away = tuple(np.hypot(*(stations - found["place"]).T))
        area = np.pi * found["major"] * found["minor"]
        assert area == pytest.approx(crossing_area_m2(away, sd, found["spread"], 0.8), rel=1e-6)


@pytest.mark.parametrize(
    ("bearings", "reason"),
    [
        ([((0, 0), 10.0), ((50, 0), 5.0)], "acute"),
        ([((0, 0), 10.0), ((0, 0), 80.0)], "acute"),
        ([((0, 0), 90.0), ((300, 10), 30.0)], "behind"),
        ([((0, 0), 45.0), ((700, 0), 355.0)], "far"),
    ],
)
def test_bearings_that_do_not_meet_give_no_place(page: Page, bearings: list, reason: str) -> None:
    asked = [{"xy": list(xy), "azimuth": azimuth} for xy, azimuth in bearings]
    found = page.evaluate("([all, limits]) => NoteLines.crossing(all, 10, limits)", [asked, LIMITS])
    assert found["reason"] == reason
    assert "place" not in found


def test_the_crossing_of_the_page_stands_on_the_ground_of_the_trip(page: Page, report: Report) -> None:
    """Bearings typed as the compass reads them cross where true bearings of the same turn do, in the trip's figures."""
    bird = np.array(report.car.xy_m) + np.array([-40.0, 1000.0])
    for number in (2, 4):
        step = bird - np.array(report.stops[number - 1].place.xy_m)
        azimuth = np.degrees(np.arctan2(*step)) + report.north.convergence_deg - report.north.declination_deg
        page.fill("#reading", f"{azimuth % 360:.1f}"[:5])
        to_stop(page, f"P{number:02d}")
        page.click('#birds [data-value="B1"]')
        kept(page, "#keep")
    at = page.evaluate("""() => { let at = null; hushwalkMap.eachLayer(layer => {
        if (layer.options.icon && layer._icon && layer._icon.querySelector('.noted-bird')) at = layer.getLatLng(); });
        return [at.lng, at.lat]; }""")
    assert np.hypot(*(to_metres(report.grid.epsg, at) - bird)) < 2.0
    sd = report.settings.walker.bearing_error_deg
    away = tuple(np.hypot(*(bird - np.array(report.stops[k].place.xy_m))) for k in (1, 3))
    said = float(re.search(r"80 % in ([\d.]+) ha", page.inner_text("#crossings"))[1])
    angles = [np.arctan2(*(bird - np.array(report.stops[k].place.xy_m))) for k in (1, 3)]
    turn = abs(np.degrees(angles[1] - angles[0]))
    assert said == pytest.approx(crossing_area_m2(away, sd, turn, 0.8) / 1e4, rel=0.005)  # typed to a tenth of a degree
    settings = page.evaluate("JSON.parse(document.getElementById('walk').textContent).notes.limits")
    assert settings["crossing_min_deg"] == figure("fix", "crossing_min_deg")
    assert settings["far_m"] == figure("earshot", "cap_m")


def test_the_file_copy_and_codes_say_the_same(page: Page) -> None:
    for k in range(12):
        take(page, f"P0{1 + k % 5}", f"{37 * k % 360:03d}", f"B{1 + k % 3}", ("near", "mid", "far")[k % 3])
    text = saved(page)
    body = [line for line in text.splitlines() if not line.startswith(("#", "day "))]
    assert len(body) == 12
    assert all(LINE.fullmatch(line) for line in body)
    assert re.fullmatch(r"day \d{4}-\d\d-\d\d", text.splitlines()[1])
    page.click("#copy")
    assert page.input_value("#words") == text
    page.click("#codes")
    read = []
    while True:
        png = page.locator("#code").screenshot()
        codes = zxingcpp.read_barcodes(Image.open(io.BytesIO(png)).convert("L"))
        assert len(codes) == 1
        assert codes[0].text.startswith("day ")  # each part can be read alone
        read += [line for line in codes[0].text.splitlines() if not line.startswith("day ")]
        if page.locator("#code-on").is_disabled():
            break
        page.click("#code-on")
    assert read == body
    assert int(re.search(r"of (\d+)", page.inner_text("#code-count"))[1]) > 1


def test_words_of_any_script_survive_a_code(page: Page) -> None:
    svg = page.evaluate("""() => { const code = qrcode(0, 'M'); code.addData(Array.from(new TextEncoder().encode(
        'P01 B1 085M say="Hähne, 雷鳥"'), b => String.fromCharCode(b)).join(''), 'Byte'); code.make();
        return Array.from({length: code.getModuleCount()}, (_, r) => Array.from({length: code.getModuleCount()},
        (_, c) => code.isDark(r, c) ? 0 : 255)); }""")
    picture = np.kron(np.pad(np.array(svg, dtype=np.uint8), 4, constant_values=255), np.ones((6, 6), dtype=np.uint8))
    assert zxingcpp.read_barcodes(picture)[0].text == 'P01 B1 085M say="Hähne, 雷鳥"'


@pytest.mark.parametrize("gone", ["indexedDB", "localStorage"])
def test_one_place_to_keep_notes_is_enough(chromium: Browser, address: str, gone: str) -> None:
    context = chromium.new_context(offline=True, **SMALL)
    context.add_init_script(f"Object.defineProperty(window, '{gone}', {{ get() {{ throw new Error('no'); }} }})")
    page = open_page(context, address)
    take(page, "P02", "085", "B1")
    page.reload()
    ready(page)
    assert lines(page) == ["P02 B1 085M"]
    assert page.complaints == []
    context.close()


def test_a_browser_that_keeps_nothing_says_so_and_still_hands_over(chromium: Browser, address: str) -> None:
    context = chromium.new_context(offline=True, accept_downloads=True, **SMALL)
    context.add_init_script("""for (const gone of ['indexedDB', 'localStorage'])
        Object.defineProperty(window, gone, { get() { throw new Error('no'); } })""")
    page = open_page(context, address)
    page.click('[data-key="9"]')
    page.click("#keep")
    page.wait_for_selector("#kept li")
    assert page.inner_text("#notes-status").startswith("This browser keeps nothing.")
    assert "P01 009M " in saved(page)
    context.close()


def test_notes_of_another_walk_stay_out(chromium: Browser, address: str) -> None:
    context = chromium.new_context(offline=True, **SMALL)
    page = open_page(context, address)
    take(page, "P01", "085", "B1")
    walk = page.evaluate("JSON.parse(document.getElementById('walk').textContent).notes.walk")
    count = "walk => NoteStore.open(walk).then(store => store.entries.length)"
    assert page.evaluate(count, walk) == 1
    assert page.evaluate(count, "another walk") == 0
    context.close()


def test_buttons_are_for_gloves_and_all_have_names(page: Page) -> None:
    take(page, "P01", "085", "B1")
    page.click("#codes")
    page.click("#copy")
    boxes = page.eval_on_selector_all(
        "#notes button, #notes input",
        """all => all.filter(e => e.checkVisibility())
        .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().width, e.getBoundingClientRect().height,
        (e.getAttribute('aria-label') || e.innerText || (e.labels && e.labels[0].innerText) || '').trim()])""",
    )
    assert len(boxes) > 25
    assert [words for words, wide, high, _ in boxes if min(wide, high) < GLOVE_PX] == []
    assert [words for words, _, _, name in boxes if not name] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.locator("#stop-back").focus()
    for _ in range(12):
        page.keyboard.press("Tab")
        style = page.evaluate("(s => [s.outlineStyle, s.outlineWidth])(getComputedStyle(document.activeElement))")
        assert style == ["solid", "3px"]


def test_by_red_light_no_dot_of_the_page_is_green_or_blue(page: Page) -> None:
    take(page, "P02", "345", "B1", "near")
    take(page, "P03", "050", "B1")
    page.click("#codes")
    page.click("#copy")
    page.click("#night")
    for node in page.locator("details").all():
        node.evaluate("node => node.open = true")
    page.evaluate("hushwalkMap.closePopup(); document.querySelector('[data-stop=\"1\"]').click()")
    page.wait_for_timeout(400)
    dots = np.asarray(Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")).reshape(-1, 3)
    assert dots[:, 0].max() > 240
    assert (dots[:, 1:] > 10).any(axis=1).mean() == 0.0
    code = page.locator("#code").screenshot()
    assert zxingcpp.read_barcodes(Image.open(io.BytesIO(code)).convert("RGB").getchannel("R"))[0].text.startswith(
        "day "
    )


def test_without_scripts_the_paper_form_is_named(chromium: Browser, address: str) -> None:
    context = chromium.new_context(java_script_enabled=False, offline=True, **SMALL)
    page = context.new_page()
    page.goto(address)
    assert "notes go on the paper form" in page.inner_text("body")
    assert page.locator("#notes").is_hidden()
    assert page.locator("#take").is_hidden()
    context.close()
