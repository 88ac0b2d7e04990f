"""Paper, true scales, and how many map pages a walk needs.

What is drawn on them is the business of print_map.py and print_sheet.py.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.morning.report import Report
from hushwalk.types import FloatArray

MM = 72 / 25.4  # definition: points of the page description to a millimetre
SCALES = (5_000, 6_000, 7_500, 8_000, 10_000, 12_000, 15_000, 20_000, 24_000, 25_000)
MARGIN_MM = 10.0  # common practice: what home printers can reach
LABELS_MM = 6.0
HEAD_MM = 15.0
FOOT_MM = 46.0
SIDE_MM = 60.0
OVERLAP_MM = 20.0
ROUND_M = 80.0  # judgement: ground kept free round the walk, so that its edge can be read


@dataclass(frozen=True)
class Paper:
    """A sheet of paper, upright."""

    name: str
    width_mm: float
    height_mm: float


PAPERS = {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("Letter", 215.9, 279.4)}


@dataclass(frozen=True)
class Sheet:
    """A sheet with room for a map: its size and the frame of the map, from the lower left [mm]."""

    width_mm: float
    height_mm: float
    frame_mm: tuple[float, float, float, float]

    @property
    def wide(self) -> bool:
        """Whether the sheet lies on its long side."""
        return self.width_mm > self.height_mm


@dataclass(frozen=True)
class MapPage:
    """One map: its sheet, the scale (10 000 for 1:10 000), and the south-west corner of the frame [m]."""

    sheet: Sheet
    scale: int
    corner_m: tuple[float, float]

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """West, south, east, north of the frame [m]."""
        west, south = self.corner_m
        _, _, width, height = self.sheet.frame_mm
        return west, south, west + width * self.scale / 1000, south + height * self.scale / 1000

    def points(self, xy_m: FloatArray) -> FloatArray:
        """Points of the grid, shape (n, 2) [m], as points of the page from its lower left, shape (n, 2) [pt]."""
        left, bottom, _, _ = self.sheet.frame_mm
        placed: FloatArray = (np.asarray(xy_m) - self.corner_m) * (1000 / self.scale) + (left, bottom)
        return placed * MM

    def holds(self, xy_m: FloatArray) -> bool:
        """Whether any of the points lies in the frame."""
        west, south, east, north = self.bounds_m
        x, y = np.asarray(xy_m).T
        return bool(((x >= west) & (x <= east) & (y >= south) & (y <= north)).any())


def sheets(paper: Paper) -> tuple[Sheet, Sheet]:
    """Give the upright and the wide sheet with their frames."""
    edge = MARGIN_MM + LABELS_MM
    tall = (edge, MARGIN_MM + FOOT_MM + LABELS_MM, paper.width_mm - 2 * edge)
    tall_height = paper.height_mm - 2 * edge - HEAD_MM - FOOT_MM
    wide = (edge, edge, paper.height_mm - 2 * edge - SIDE_MM)
    wide_height = paper.width_mm - 2 * edge - HEAD_MM
    return (
        Sheet(paper.width_mm, paper.height_mm, (*tall, tall_height)),
        Sheet(paper.height_mm, paper.width_mm, (*wide, wide_height)),
    )


def paper_named(name: str) -> Paper:
    """Find a paper.

    Raises
    ------
    SettingsError
        If there is none of that name.
    """
    if name not in PAPERS:
        raise SettingsError(f"paper {name!r} is not known; choose one of {', '.join(PAPERS)}")
    return PAPERS[name]


def walk_points(report: Report) -> FloatArray:
    """Give every point of the walk, shape (n, 2) [m]; the car where there is no walk."""
    lines = [leg.line_m for leg in report.legs]
    return np.concatenate([*lines, np.array([report.car.xy_m])])


def map_pages(report: Report, paper: Paper) -> tuple[MapPage, ...]:
    """Choose the scale and the pages.

    Parameters
    ----------
    report : the morning.
    paper : to print on.

    Returns
    -------
    tuple of MapPage
        One page at the largest of :data:`SCALES` that holds the walk, upright or wide; where none does, overlapping
        pages at the smallest of them, from the north-west to the south-east, each holding a part of the walk.
    """
    return pages_for(walk_points(report), paper)


def pages_for(walk: FloatArray, paper: Paper) -> tuple[MapPage, ...]:
    """Choose scale and pages as :func:`map_pages` does, for the points of any walk, shape (n, 2) [m]."""
    low, high = walk.min(axis=0) - ROUND_M, walk.max(axis=0) + ROUND_M
    for scale in SCALES:
        fitting = [sheet for sheet in sheets(paper) if _slack(sheet, scale, high - low) >= 0]
        if fitting:
            sheet = max(fitting, key=lambda s: _slack(s, scale, high - low))
            return (MapPage(sheet, scale, _corner(sheet, scale, (low + high) / 2)),)
    return min((_tiles(sheet, SCALES[-1], walk, low, high) for sheet in sheets(paper)), key=len)


def index_page(paper: Paper, pages: tuple[MapPage, ...]) -> MapPage:
    """Give the page that shows all map pages small."""
    bounds = np.array([page.bounds_m for page in pages])
    low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
    sheet = sheets(paper)[0]
    need = float(((high - low) / np.array(sheet.frame_mm[2:])).max()) * 1000
    scale = math.ceil(need * 1.03 / 5000) * 5000
    return MapPage(sheet, scale, _corner(sheet, scale, (low + high) / 2))


def _slack(sheet: Sheet, scale: int, size_m: FloatArray) -> float:
    return float((np.array(sheet.frame_mm[2:]) * scale / 1000 - size_m).min())


def _corner(sheet: Sheet, scale: int, middle_m: FloatArray) -> tuple[float, float]:
    corner = middle_m - np.array(sheet.frame_mm[2:]) * scale / 2000
    return float(corner[0]), float(corner[1])


def _tiles(sheet: Sheet, scale: int, walk: FloatArray, low: FloatArray, high: FloatArray) -> tuple[MapPage, ...]:
    size = np.array(sheet.frame_mm[2:]) * scale / 1000
    step = size - OVERLAP_MM * scale / 1000
    number = np.maximum(np.ceil((high - low - size) / step).astype(int) + 1, 1)
    start = (low + high) / 2 - (size + (number - 1) * step) / 2
    pages = [
        MapPage(sheet, scale, (float(start[0] + col * step[0]), float(start[1] + row * step[1])))
        for row, col in itertools.product(reversed(range(number[1])), range(number[0]))
    ]
    return tuple(page for page in pages if page.holds(walk))
