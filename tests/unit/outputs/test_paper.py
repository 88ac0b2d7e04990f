import itertools

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.paper import (
    MM,
    OVERLAP_MM,
    PAPERS,
    SCALES,
    index_page,
    map_pages,
    paper_named,
    sheets,
    walk_points,
)


@pytest.mark.parametrize("paper", PAPERS.values(), ids=lambda p: p.name)
def test_frames_lie_inside_what_a_printer_reaches(paper) -> None:
    for sheet in sheets(paper):
        left, bottom, width, height = sheet.frame_mm
        assert min(left, bottom) >= 10
        assert left + width <= sheet.width_mm - 10
        assert bottom + height <= sheet.height_mm - 10
        assert min(width, height) > 100


def test_a_small_walk_gets_the_largest_scale_that_holds_it(report: Report) -> None:
    (page,) = map_pages(report, PAPERS["a4"])
    larger, size = [scale for scale in SCALES if scale < page.scale], np.ptp(walk_points(report), axis=0) + 160
    for scale, sheet in itertools.product(larger, sheets(PAPERS["a4"])):
        assert (np.array(sheet.frame_mm[2:]) * scale / 1000 < size).any()
    west, south, east, north = page.bounds_m
    x, y = walk_points(report).T
    assert (x.min() - west, y.min() - south, east - x.max(), north - y.max()) > (79.0,) * 4


def test_a_wide_walk_turns_the_sheet(wide_report: Report) -> None:
    (page,) = map_pages(wide_report, PAPERS["letter"])
    assert page.sheet.wide
    larger = [scale for scale in SCALES if scale < page.scale]
    size = np.ptp(walk_points(wide_report), axis=0) + 160
    for scale, sheet in itertools.product(larger, sheets(PAPERS["letter"])):
        assert (np.array(sheet.frame_mm[2:]) * scale / 1000 < size).any()


@pytest.mark.parametrize("name", PAPERS)
def test_a_long_walk_goes_over_pages_that_overlap_and_hold_all_of_it(long_report: Report, name: str) -> None:
    pages = map_pages(long_report, PAPERS[name])
    assert len(pages) > 1
    assert {page.scale for page in pages} == {SCALES[-1]}
    walk = walk_points(long_report)
    held = np.zeros(len(walk), dtype=bool)
    for page in pages:
        west, south, east, north = page.bounds_m
        held |= (walk[:, 0] > west) & (walk[:, 0] < east) & (walk[:, 1] > south) & (walk[:, 1] < north)
    assert held.all()
    corners = np.array([page.corner_m for page in pages])
    for axis in (0, 1):
        steps = np.diff(np.unique(corners[:, axis].round(3)))
        size = pages[0].sheet.frame_mm[2 + axis] * pages[0].scale / 1000
        assert (steps <= size - OVERLAP_MM * pages[0].scale / 1000 + 1e-6).all()
    index = index_page(PAPERS[name], pages).bounds_m
    assert all(index[0] <= p.bounds_m[0] and index[2] >= p.bounds_m[2] for p in pages)


def test_a_kilometre_is_a_kilometre_on_the_page(report: Report) -> None:
    (page,) = map_pages(report, PAPERS["a4"])
    x, y = page.corner_m
    points = page.points(np.array([(x, y), (x + 1000, y), (x, y + 1000)]))
    assert np.hypot(*(points[1] - points[0])) / MM == pytest.approx(1e6 / page.scale)
    assert np.hypot(*(points[2] - points[0])) / MM == pytest.approx(1e6 / page.scale)


def test_an_unknown_paper_is_a_clear_fault() -> None:
    with pytest.raises(SettingsError, match="'a3' is not known; choose one of a4, letter"):
        paper_named("a3")
