"""What the sheet shows of the ground, which noise it names, and the map on the page that stays at home."""

import io
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader
from shapely import LineString, Point

from hushwalk.morning.report import Noise, Report
from hushwalk.outputs.kit.good_ground import good_ground
from hushwalk.outputs.kit.palette import COLOURS, rgb
from hushwalk.outputs.kit.paper import PAPERS, map_pages
from hushwalk.outputs.kit.print_map import INDEX_PT, STREAM_PT
from hushwalk.outputs.kit.print_margin import ground_key
from hushwalk.outputs.walk.print_sheet import print_sheet
from hushwalk.wording.morning_words import usual_noise


def luminance(colour: str) -> float:
    """Relative luminance of sRGB as WCAG 2.2 defines it (typed from the standard)."""
    parts = [one / 255 for one in rgb(colour)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))


def test_streams_and_index_contours_differ_in_grey() -> None:
    stream, contour = luminance(COLOURS["stream"]), luminance(COLOURS["contour"])
    assert (contour + 0.05) / (stream + 0.05) > 1.5
    assert STREAM_PT / INDEX_PT > 1.5


def test_good_ground_is_shaded_from_the_figure_of_the_card(report: Report) -> None:
    country = report.country
    assert good_ground(country).least == country.good_from
    assert not good_ground(country).relative
    poor = replace(
        country, suitability=country.suitability.with_values(0.2 * np.nan_to_num(country.suitability.values))
    )
    assert good_ground(poor).relative
    shaded = (poor.suitability.values >= good_ground(poor).least).mean()
    assert 0.05 < shaded < 0.2
    nothing = replace(country, suitability=country.suitability.with_values(0 * country.suitability.values))
    assert good_ground(nothing) is None


def test_the_key_holds_only_what_the_page_shows(report: Report) -> None:
    (page,) = map_pages(report, PAPERS["a4"])
    x, y = report.car.xy_m
    house, track = Point(x + 60, y + 60).buffer(8), LineString([(x, y), (x + 200, y + 50)])
    far = LineString([(x + 90_000, y), (x + 90_500, y)])
    signs = {sign for sign, _ in ground_key(replace(report, country=replace(report.country, busy_roads=(far,))), page)}
    assert not {"house", "track", "busy", "built"} & signs
    shown = replace(report.country, buildings=(house,), tracks=(track,), busy_roads=(track,))
    assert {"house", "track", "busy"} <= {sign for sign, _ in ground_key(replace(report, country=shown), page)}
    dry = replace(report.country, streams=(), water=(), wetlands=())
    assert "stream" not in {sign for sign, _ in ground_key(replace(report, country=dry), page)}


def test_built_ground_stands_in_the_key_where_the_cover_is_built_up(report: Report) -> None:
    (page,) = map_pages(report, PAPERS["a4"])
    country, code = report.country, 99
    assert country.cover is not None
    built = country.cover.with_values(np.full(country.cover.values.shape, float(code)))
    town = replace(country, cover=built, kinds={code: ("developed", "built-up ground")})
    assert ("built", "built-up ground") in ground_key(replace(report, country=town), page)
    assert print_sheet(replace(report, country=town))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_page_left_at_home_has_the_walk_and_no_page_is_nearly_empty(report: Report, paper: str) -> None:
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(print_sheet(report, paper))).pages]
    assert len(pages) <= 5
    home = next(words for words in pages if "Whom I told" in words)
    assert "The walk, 1:" in home
    assert "CAR" in home
    assert min(len(words.splitlines()) for words in pages) > 12


def test_no_key_of_a_source_stands_on_the_sheet(report: Report) -> None:
    words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(print_sheet(report))).pages)
    assert not [line for line in report.assumptions if line and line in words]


def test_only_what_is_louder_than_usual_is_named_stop_by_stop() -> None:
    quiet, brook = Noise(wind_ms=0.5, water_dba=39.0), Noise(wind_ms=0.5, water_dba=52.0)
    road = Noise(wind_ms=0.5, water_dba=39.0, traffic_dba=50.0, traffic_takes=0.3)
    usual, louder = usual_noise([quiet, replace(quiet, water_dba=40.5), brook, quiet, road])
    assert "about 39 dB(A)" in usual or "about 40 dB(A)" in usual
    assert [bool(words) for words in louder] == [False, False, True, False, True]
    assert "about 52 dB(A)" in louder[2]
    assert "traffic" in louder[4]
    assert usual_noise([]) == ("", ())
