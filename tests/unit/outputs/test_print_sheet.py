"""Measures the printed sheet with an independent renderer (PDFium) and an independent reader (pypdf)."""

import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
import shapely
from pypdf import PdfReader

from hushwalk.grid.points import to_lonlat
from hushwalk.morning.report import Noise, Report
from hushwalk.outputs.kit.paper import PAPERS, map_pages, sheets
from hushwalk.outputs.kit.print_map import grid_step_m, shows
from hushwalk.outputs.kit.print_margin import scale_words
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.site.passage import PassageFacts
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.formats import clock

DPI = 400


@pytest.fixture(scope="module", params=["a4", "letter"])
def sheet(request: pytest.FixtureRequest, report: Report) -> tuple[str, bytes]:
    return request.param, print_sheet(report, request.param)


def words_of(sheet: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(sheet)).pages]


def grid_lines_px(sheet: bytes, number: int, page) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows of pixels in which a blue line runs through the whole frame."""
    image = np.asarray(
        pypdfium2.PdfDocument(sheet)[number].render(scale=DPI / 72).to_pil().convert("RGB"), dtype=np.int16
    )
    blue = (image[..., 2] - image[..., 0] > 25) & (image[..., 2] > image[..., 1])
    height = blue.shape[0]
    left, bottom, wide, high = (side / 25.4 * DPI for side in page.sheet.frame_mm)
    part = blue[int(height - bottom - high) : int(height - bottom), int(left) : int(left + wide)]
    columns = np.flatnonzero(part.mean(axis=0) > 0.7) + int(left)
    rows = np.flatnonzero(part.mean(axis=1) > 0.7) + int(height - bottom - high)
    return middles(columns), middles(rows)


def middles(pixels: np.ndarray) -> np.ndarray:
    groups = np.split(pixels, np.flatnonzero(np.diff(pixels) > 1) + 1)
    return np.array([group.mean() for group in groups if len(group)])


def measured(sheet: bytes, number: int, page, step_m: float) -> None:
    for lines in grid_lines_px(sheet, number, page):
        assert len(lines) >= 2
        gaps_mm = np.diff(lines) / DPI * 25.4
        assert np.median(gaps_mm) == pytest.approx(step_m * 1000 / page.scale, rel=0.003)
        across_mm = (lines[-1] - lines[0]) / DPI * 25.4
        assert across_mm == pytest.approx((len(lines) - 1) * step_m * 1000 / page.scale, rel=0.003)


def test_grid_crossings_are_true_to_scale(sheet: tuple[str, bytes], report: Report) -> None:
    name, made = sheet
    (page,) = map_pages(report, PAPERS[name])
    measured(made, 0, page, grid_step_m(page))


def test_every_page_of_an_atlas_is_true_to_scale(long_report: Report) -> None:
    made = print_sheet(long_report, "a4")
    pages = map_pages(long_report, PAPERS["a4"])
    words = words_of(made)
    assert "index of maps" in words[0]
    for number, page in enumerate(pages, start=1):
        measured(made, number, page, 1000.0)
        assert f"map {number} of {len(pages)}" in words[number]


def test_the_check_bar_is_a_hundred_millimetres(sheet: tuple[str, bytes]) -> None:
    name, made = sheet
    image = np.asarray(pypdfium2.PdfDocument(made)[0].render(scale=DPI / 72).to_pil().convert("L"))
    foot = image[int((PAPERS[name].height_mm - 56) / 25.4 * DPI) :] < 100
    longest = 0.0
    for row in foot:
        edges = np.flatnonzero(np.diff(np.r_[0, row.astype(int), 0]))
        longest = max(longest, float((edges[1::2] - edges[::2]).max(initial=0)))
    assert longest / DPI * 25.4 == pytest.approx(100.0, abs=0.35)  # the stroke's own round ends add 0.28 mm


def test_the_paper_is_what_was_asked_for_and_fonts_are_inside(sheet: tuple[str, bytes]) -> None:
    name, made = sheet
    assert len(made) < 5_000_000
    reader = PdfReader(io.BytesIO(made))
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page in reader.pages:
        size = sorted(float(side) / 72 * 25.4 for side in page.mediabox[2:])
        assert size == pytest.approx([PAPERS[name].width_mm, PAPERS[name].height_mm], abs=0.01)
        for font in page["/Resources"]["/Font"].values():
            said = font.get_object()
            assert "DejaVuSans" in said["/BaseFont"]
            assert "/FontFile2" in said["/FontDescriptor"]


def test_text_is_extractable_and_says_it_all(sheet: tuple[str, bytes], report: Report) -> None:
    pages = words_of(sheet[1])
    (page,) = map_pages(report, PAPERS[sheet[0]])
    assert f"Scale {scale_words(page)}" in pages[0]
    assert "USNG 15T WN" in pages[0]
    assert "Magnetic: 1.0° west of true" in pages[0]
    assert ("closed: keep out" in pages[0]) is shows(report.country.closed, page)
    for stop in report.stops:
        assert f"{clock(stop.arrive)} to {clock(stop.leave)}" in pages[0]
        assert stop.place.usng in pages[1]
        assert clock(stop.latest_leave) in pages[1]
    assert "What I heard" in pages[1]
    assert "Whom I told" in pages[-1]
    assert caution_sentences(report.cautions)[0] in pages[-1]
    assert f"page 1 of {len(pages)}" in pages[0]


def test_every_map_knows_its_place_on_the_earth(sheet: tuple[str, bytes], report: Report) -> None:
    name, made = sheet
    (page,) = map_pages(report, PAPERS[name])
    said = PdfReader(io.BytesIO(made)).pages[0]["/VP"][0]["/Measure"]
    west, south, east, north = page.bounds_m
    corners = to_lonlat(report.grid.epsg, [(west, south), (west, north), (east, north), (east, south)])
    assert [float(v) for v in said["/GPTS"]] == pytest.approx(
        corners[:, ::-1].ravel().tolist(), abs=1e-7
    )  # a centimetre
    assert said["/GCS"]["/EPSG"] == report.grid.epsg


def test_the_same_report_gives_the_same_bytes(sheet: tuple[str, bytes], report: Report) -> None:
    assert print_sheet(report, sheet[0]) == sheet[1]


def test_a_wide_sheet_and_hostile_words_are_drawn(wide_report: Report) -> None:
    worse = replace(wide_report, title="Ridge <b>&</b> ü № ", notices=("a < b & c > d", "the č Ж → ≥ 5 é"))
    pages = words_of(print_sheet(worse, "letter"))
    assert "Ridge <b>&</b> ü №" in pages[0]
    assert "č Ж → ≥ 5 é" in pages[-1]
    assert sheets(PAPERS["letter"])[1].wide


def test_a_morning_without_stops_still_prints(report: Report) -> None:
    bare = replace(report, stops=(), legs=(), bail_outs=())
    assert "Leave the car 04:52" in words_of(print_sheet(bare))[1]


@pytest.mark.parametrize(("stops", "title"), [(14, 16), (15, 8), (16, 0)])
def test_the_car_at_the_end_of_the_timetable_stands_with_the_last_stop(report: Report, stops: int, title: int) -> None:
    """Stops and a title with which the car, alone or with its leg, would come first on a page."""
    legs = (*(report.legs[:-1] * 4)[:stops], report.legs[-1])
    long = replace(report, stops=(report.stops * 4)[:stops], legs=legs, title="A " + "long name " * title)
    car = f"Car {clock(legs[-1].arrive)}"
    (page,) = (words for words in words_of(print_sheet(long)) if car in words)
    assert f"to {legs[-2].end}:" in page[: page.index(car)]


def test_pages_of_words_say_of_which_morning_they_are(sheet: tuple[str, bytes], report: Report) -> None:
    for words in words_of(sheet[1])[1:]:
        assert f"{report.title}, {report.depart:%d %B %Y}" in words


def test_what_matters_is_there_in_grey_at_half_size(report: Report) -> None:
    image = pypdfium2.PdfDocument(print_sheet(report))[0].render(scale=150 / 72).to_pil().convert("L")
    half = np.asarray(image.resize((image.width // 2, image.height // 2)), dtype=int)
    (page,) = map_pages(report, PAPERS["a4"])
    for stop in report.stops:
        x, y = page.points(np.array([stop.place.xy_m]))[0] * 75 / 72
        near = half[int(half.shape[0] - y) - 12 : int(half.shape[0] - y) + 12, int(x) - 12 : int(x) + 12]
        assert near.min() < 60
        assert near.max() > 240


def test_a_wetland_that_crosses_itself_or_only_touches_the_page_is_drawn(report: Report) -> None:
    x, y = report.car.xy_m
    spiked = shapely.Polygon([(x, y), (x + 300, y), (x + 300, y + 300), (x + 300, y), (x + 600, y), (x, y)])
    thin = shapely.Polygon([(x, y), (x + 500, y + 500), (x, y)])
    odd = (spiked, thin, shapely.MultiPolygon([shapely.box(x, y, x + 90, y + 90)]))
    country = replace(
        report.country, wetlands=odd, water=odd, closed=(*odd, shapely.LineString([(x, y), (x + 400, y)]))
    )
    (whole,) = (print_sheet(replace(report, country=country), name) for name in ("a4",))
    assert whole.startswith(b"%PDF")


def test_no_height_or_climb_is_printed_as_less_than_nothing(report: Report) -> None:
    legs = tuple(replace(leg, climb_m=-0.0, descent_m=-0.2) for leg in report.legs)
    words = " ".join(words_of(print_sheet(replace(report, legs=legs), "a4")))
    assert "up 0 m, down 0 m" in words
    assert "-0 m" not in words


def test_the_sheet_says_what_traffic_takes_and_where_feet_get_wet(report: Report) -> None:
    loud = Noise(traffic_dba=54.0, traffic_takes=0.4)
    stops = (replace(report.stops[0], noise=loud), *report.stops[1:])
    legs = (replace(report.legs[0], wet_m=120.0), *report.legs[1:])
    facts = PassageFacts(4.0, unsaid_km=3.0, private_km=1.0)
    words = " ".join(words_of(print_sheet(replace(report, stops=stops, legs=legs, passage=facts), "a4")))
    assert "traffic, up to 54 dB(A): 40 % of the earshot is lost" in words
    assert f"1 of {len(stops)} stops loses 40 % of the earshot to traffic" in words
    assert "wet feet for 120 m of wet ground" in words
    assert "The layers do not say who may walk 3.0 of 4.0 km of roads and trails" in words


def test_houses_are_drawn_and_stand_in_the_key(report: Report) -> None:
    x, y = report.car.xy_m
    houses = (shapely.box(x + 200, y + 200, x + 212, y + 209), shapely.box(x - 300, y + 100, x - 290, y + 110))
    built = replace(report, country=replace(report.country, buildings=houses))
    assert "house" in words_of(print_sheet(built, "a4"))[0].split("closed: keep out")[1]
    assert "house" not in words_of(print_sheet(report, "a4"))[0]
