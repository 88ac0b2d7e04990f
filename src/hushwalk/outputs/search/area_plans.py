"""A plan of each area of a search on the sheet, all at one scale: strips, bird, ways in and on, and the ground.

The map of the whole search is search_sheet.py's business.
"""

import itertools
from typing import Any

import numpy as np
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table, TableStyle

from hushwalk.birds.search.planned_search import SearchLeg, SearchReport
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import LABELS_MM, MM, MapPage, Sheet
from hushwalk.outputs.kit.pen import Pen
from hushwalk.outputs.kit.print_detections import draw_birds
from hushwalk.outputs.kit.print_map import draw_walk, on_ground
from hushwalk.outputs.kit.print_margin import scale_words
from hushwalk.outputs.walk.print_tables import LEAD, RULED, SMALL, STRONG, para
from hushwalk.types import FloatArray
from hushwalk.wording.formats import clock
from hushwalk.wording.measures import unit
from hushwalk.wording.search_words import ground_words, pass_words

SCALES = (2500, 4000, 5000, 7500, 10_000)  # judgement: lines 12 m apart are 5 mm apart; the rest for the largest areas
WIDE_MM, LEAST_MM, MOST_MM = 116.0, 58.0, 108.0  # judgement: two or three plans to a page, with words beside them
EDGE_M = 12.0  # judgement: a strip of ground round the lines
PASS_LINES: tuple[tuple[float, tuple[float, ...]], ...] = ((1.1, ()), (0.9, (3.0, 2.0)))
BAR = 50.0  # judgement: length of the scale bar in metres or yards, some 60 double paces
WAY_PT, ON_PT = 1.5, 1.1


def plans_flow(report: SearchReport, width_mm: float) -> list[Any]:
    """Give one plan an area, with how its lines run beside it."""
    made: list[Any] = []
    legs = report.search.legs
    scale = max((least_scale(leg) for leg in legs), default=SCALES[0])
    ways_on = [*(leg.approach_m for leg in legs[1:]), report.search.way_back_m]
    for leg, way_on in zip(legs, ways_on, strict=False):
        plan = AreaPlan(report, leg, way_on, scale)
        words = [
            para(f"Area {leg.number}: {', '.join((leg.bird, *leg.also))}", LEAD),
            para(f"{clock(leg.arrive)} to {clock(leg.leave)}", STRONG),
            para(f"{ground_words(leg)}."),
            para(f"Begin at {leg.entry.usng}."),
            *[para(f"{k}. {pass_words(one, report.search.params, k)}") for k, one in enumerate(leg.passes, start=1)],
            para(f"{scale_words(plan.page)}, grid north up. Heavy: the way in. Long dashes: the way on.", SMALL),
        ]
        wide_mm = plan.width / MM + 2
        table = Table([[plan, words]], colWidths=[wide_mm * MM, (width_mm - wide_mm) * MM], hAlign="LEFT")
        table.setStyle(
            TableStyle([*RULED[1:], ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0)])
        )
        made += [KeepTogether([table]), Spacer(1, 2)]
    return made


def least_scale(leg: SearchLeg) -> int:
    """Give the largest scale at which an area fits its plan."""
    low, high = _limits(leg)
    fits = (scale for scale in SCALES if (1000 * (high - low) / scale <= (WIDE_MM, MOST_MM)).all())
    return next(fits, SCALES[-1])


def _limits(leg: SearchLeg) -> tuple[FloatArray, FloatArray]:
    points = np.concatenate([leg.path_m, *leg.rings])
    return points.min(axis=0) - EDGE_M, points.max(axis=0) + EDGE_M


class AreaPlan(Flowable):  # type: ignore[misc]  # reportlab has no types
    """The ground of one area with its lines, where the bird may be, the way in and the way on."""

    def __init__(self, report: SearchReport, leg: SearchLeg, way_on: FloatArray, scale: int) -> None:
        super().__init__()
        self.report, self.leg, self.way_on = report, leg, way_on
        low, top = _limits(leg)
        high_mm = float(np.clip(1000 * (top - low)[1] / scale, LEAST_MM, MOST_MM))
        sheet = Sheet(WIDE_MM + 2 * LABELS_MM, high_mm + 2 * LABELS_MM, (LABELS_MM, LABELS_MM, WIDE_MM, high_mm))
        self.width, self.height = sheet.width_mm * MM, sheet.height_mm * MM
        corner = (low + top) / 2 - np.array([WIDE_MM, high_mm]) * scale / 2000
        self.page = MapPage(sheet, scale, (float(corner[0]), float(corner[1])))

    def wrap(self, *_: float) -> tuple[float, float]:
        """Give the room it needs [pt]."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw ground, lines, bird, ways, where to begin and end, and a scale bar."""
        pen, leg, page = Pen(self.canv), self.leg, self.page
        with on_ground(pen, self.report, page):
            pen.line(page.points(self.way_on), "#ffffff", ON_PT + 2)
            pen.line(page.points(self.way_on), COLOURS["walk"], ON_PT, (7.0, 3.0))
            draw_walk(pen, [leg.approach_m], page, WAY_PT)
            for one, (width, dash) in zip(leg.passes, PASS_LINES, strict=False):
                line = page.points(one.line_m)
                pen.line(line, COLOURS["walk"], width, dash)
                _arrows(pen, line)
            draw_birds(pen, self.report.detections, page, frozenset((leg.bird, *leg.also)))
            begin, end = page.points(leg.path_m[[0, -1]])
            pen.circle(end, 3.0, COLOURS["walk"], "#ffffff", 0.8)
            pen.circle(begin, 7.0, "#ffffff", COLOURS["text"], 1.5)
            pen.text(begin - (0, 3.2), str(leg.number), SHEET_PT["text"], bold=True, place="centre")
            self._bar(pen)

    def _bar(self, pen: Pen) -> None:
        word, unit_m = unit("short")
        left, bottom, _, _ = (side * MM for side in self.page.sheet.frame_mm)
        start = np.array([left + 4, bottom + 5])
        bar = start + np.array([[0.0, 0.0], [1000 * BAR * unit_m / self.page.scale * MM, 0.0]])
        pen.line(bar, "#ffffff", 3.0)
        pen.line(bar, COLOURS["text"], 1.4)
        pen.text(bar[1] + (4, -2.6), f"{BAR:.0f} {word}", SHEET_PT["small"], cleared=True)


def _arrows(pen: Pen, line: FloatArray) -> None:
    """Point along every stretch that is long enough to bear an arrow."""
    for a, b in itertools.pairwise(line):
        if np.hypot(*(b - a)) > 26:  # noqa: PLR2004 - judgement: points, three arrow heads
            pen.arrow((a + b) / 2, float(np.degrees(np.arctan2(*(b - a)))), 6.0, COLOURS["walk"])
