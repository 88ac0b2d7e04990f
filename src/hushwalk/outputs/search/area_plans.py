"""A plan of each area of a search, drawn large on the sheet: the lines to walk, where to begin, how they run.

The map of the whole search is search_sheet.py's business.
"""

import itertools
from typing import Any

import numpy as np
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table, TableStyle

from hushwalk.birds.search.planned_search import SearchLeg, SearchReport
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import Pen
from hushwalk.outputs.walk.print_tables import LEAD, RULED, SMALL, STRONG, para
from hushwalk.types import FloatArray
from hushwalk.wording.formats import clock
from hushwalk.wording.measures import unit
from hushwalk.wording.search_words import ground_words, pass_words

SCALES = (1000, 1500, 2000, 2500, 4000, 5000)  # judgement: lines 12 m apart are 3 to 12 mm apart on paper
WIDTH_MM, HEIGHT_MM = 112.0, 96.0  # judgement: two plans to a page, with words beside them
EDGE_M = 12.0  # judgement: a strip of ground round the lines
PASS_LINES: tuple[tuple[float, tuple[float, ...]], ...] = ((1.3, ()), (0.9, (3.0, 2.0)))
BAR = 20.0  # judgement: length of the scale bar in metres or yards, some 25 double paces


def plans_flow(report: SearchReport, width_mm: float) -> list[Any]:
    """Give one plan an area, with how its lines run beside it."""
    made: list[Any] = []
    for leg in report.search.legs:
        plan = AreaPlan(leg)
        words = [
            para(f"Area {leg.number}: {', '.join((leg.bird, *leg.also))}", LEAD),
            para(f"{clock(leg.arrive)} to {clock(leg.leave)}", STRONG),
            para(f"{ground_words(leg)}."),
            para(f"Begin at {leg.entry.usng}."),
            *[para(f"{k}. {pass_words(one, report.search.params, k)}") for k, one in enumerate(leg.passes, start=1)],
            para(f"1:{plan.scale}, grid north is up. Full line first, dashed line second.", SMALL),
        ]
        table = Table([[plan, words]], colWidths=[(WIDTH_MM + 4) * MM, (width_mm - WIDTH_MM - 4) * MM], hAlign="LEFT")
        table.setStyle(TableStyle(RULED[1:]))
        made += [KeepTogether([table]), Spacer(1, 8)]
    return made


class AreaPlan(Flowable):  # type: ignore[misc]  # reportlab has no types
    """The lines of one area at the largest scale that fits."""

    def __init__(self, leg: SearchLeg) -> None:
        super().__init__()
        self.leg = leg
        points = np.concatenate([leg.path_m, *leg.rings])
        self.low, high = points.min(axis=0) - EDGE_M, points.max(axis=0) + EDGE_M
        size_mm = 1000 * (high - self.low)
        fits = [s for s in SCALES if (size_mm / s <= (WIDTH_MM, HEIGHT_MM)).all()]
        self.scale = fits[0] if fits else int(np.ceil((size_mm / (WIDTH_MM, HEIGHT_MM)).max() / 500) * 500)
        self.width, self.height = (float(mm) * MM for mm in size_mm / self.scale)

    def wrap(self, *_: float) -> tuple[float, float]:
        """Give the room it needs [pt]."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw ground, lines, where to begin and end, and a scale bar."""
        pen, leg = Pen(self.canv), self.leg
        for ring in leg.rings:
            pen.area([self._placed(ring)], "#eef2f0", COLOURS["bird"], 0.6)
        for one, (width, dash) in zip(leg.passes, PASS_LINES, strict=False):
            line = self._placed(one.line_m)
            pen.line(line, COLOURS["walk"], width, dash)
            self._arrows(pen, line)
        begin, end = self._placed(leg.path_m[[0, -1]])
        pen.circle(end, 3.0, COLOURS["walk"], "#ffffff", 0.8)
        pen.circle(begin, 7.0, "#ffffff", COLOURS["text"], 1.5)
        pen.text(begin - (0, 3.2), str(leg.number), SHEET_PT["text"], bold=True, place="centre")
        word, unit_m = unit("short")
        bar = np.array([[2.0, 3.0], [2.0 + 1000 * BAR * unit_m / self.scale * MM, 3.0]])
        pen.line(bar, COLOURS["text"], 1.4)
        pen.text(bar[1] + (4, -2.6), f"{BAR:.0f} {word}", SHEET_PT["small"], cleared=True)

    def _placed(self, xy_m: FloatArray) -> FloatArray:
        placed: FloatArray = (np.asarray(xy_m) - self.low) * (1000 / self.scale) * MM
        return placed

    def _arrows(self, pen: Pen, line: FloatArray) -> None:
        """Point along every stretch that is long enough to bear an arrow."""
        for a, b in itertools.pairwise(line):
            if np.hypot(*(b - a)) > 26:  # noqa: PLR2004 - judgement: points, three arrow heads
                pen.arrow((a + b) / 2, float(np.degrees(np.arctan2(*(b - a)))), 7.0, COLOURS["walk"])
