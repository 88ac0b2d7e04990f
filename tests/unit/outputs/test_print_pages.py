"""Every page of every kind of sheet: grid measured with an independent reader (PDFium), text read, picture kept.

The pictures lie in .artefacts/sheets, so that one can look at what was measured.
"""

import ctypes
import itertools
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import COLOURS, rgb
from hushwalk.outputs.kit.paper import MM, PAPERS, MapPage, index_page, map_pages
from hushwalk.outputs.kit.print_map import grid_step_m
from hushwalk.outputs.walk.print_sheet import print_sheet

KEPT = Path(__file__).resolve().parents[3] / ".artefacts" / "sheets"
PICTURE_DPI = 100
TRUE = 0.003  # asked for: two crossings 1 km apart within 0.3 % of true scale


@pytest.fixture(scope="module", params=list(itertools.product(("report", "wide_report", "long_report"), PAPERS)))
def printed(request: pytest.FixtureRequest) -> tuple[str, pypdfium2.PdfDocument, list[MapPage], Report]:
    kind, paper = request.param
    report = request.getfixturevalue(kind)
    pages = map_pages(report, PAPERS[paper])
    maps = [*pages] if len(pages) == 1 else [index_page(PAPERS[paper], pages), *pages]
    return f"{kind}_{paper}", pypdfium2.PdfDocument(print_sheet(report, paper)), maps, report


def grid_lines(page: pypdfium2.PdfPage) -> tuple[list[float], list[float]]:
    """Middles of the upright and of the level lines in the colour of the grid, from the lower left [pt]."""
    upright, level = [], []
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
        parts = [ctypes.c_uint() for _ in range(4)]
        pypdfium2.raw.FPDFPageObj_GetStrokeColor(thing.raw, *parts)
        if tuple(part.value for part in parts[:3]) == rgb(COLOURS["grid"]):
            left, bottom, right, top = thing.get_bounds()
            (upright if right - left < top - bottom else level).append(
                (left + right) / 2 if right - left < top - bottom else (bottom + top) / 2
            )
    return sorted(upright), sorted(level)


def test_crossings_a_kilometre_apart_are_true_to_scale_on_every_map_page(printed) -> None:
    _, document, maps, _ = printed
    for number, page in enumerate(maps):
        kilometre_mm = 1e6 / page.scale
        for places in grid_lines(document[number]):
            at_mm = np.array(places) / MM
            apart = np.abs(at_mm[:, np.newaxis] - at_mm[np.newaxis])
            near = apart[np.abs(apart - kilometre_mm) < 0.1 * kilometre_mm]
            assert near.size >= 2
            assert near == pytest.approx(np.full(near.size, kilometre_mm), rel=TRUE)
            across = apart.max()
            assert across / kilometre_mm * 2 == pytest.approx(round(across / kilometre_mm * 2), rel=TRUE)


def test_grid_lines_stand_where_their_numbers_say(printed) -> None:
    _, document, maps, _ = printed
    for number, page in enumerate(maps):
        west, south, _, _ = page.bounds_m
        left, bottom, _, _ = page.sheet.frame_mm
        for places, edge_m, edge_mm in zip(grid_lines(document[number]), (west, south), (left, bottom), strict=True):
            metres = edge_m + (np.array(places) / MM - edge_mm) * page.scale / 1000
            step_m = grid_step_m(page)
            off_m = np.abs(metres / step_m - np.round(metres / step_m)) * step_m
            assert off_m.max() < 0.0002 * page.scale  # a fifth of a millimetre


def test_text_of_every_page_can_be_read_and_its_picture_is_kept(printed) -> None:
    name, document, maps, report = printed
    KEPT.mkdir(parents=True, exist_ok=True)
    for number, page in enumerate(document):
        words = " ".join(page.get_textpage().get_text_range().split())
        assert f"page {number + 1} of {len(document)}" in words
        if number < len(maps):
            assert f"Scale 1:{maps[number].scale:,}".replace(",", " ") in words
            assert "UTM zone" in words
            assert "CAR" in words or number > 0
        picture = page.render(scale=PICTURE_DPI / 72).to_pil()
        picture.save(KEPT / f"{name}_page_{number + 1}.png")
        assert min(picture.size) > 8 * PICTURE_DPI
        grey = np.asarray(picture.convert("L"))
        assert grey.min() < 60
        assert (grey > 240).mean() > 0.25
    said = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
    for stop in report.stops:
        assert stop.place.usng in said
