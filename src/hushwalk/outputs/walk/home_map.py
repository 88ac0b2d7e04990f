"""The small map for the one who waits: car, walk and numbered stops on the page that stays at home.

The maps to walk by are print_map.py's.
"""

import numpy as np
from reportlab.platypus import Flowable

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import SHEET_PT
from hushwalk.outputs.kit.paper import LABELS_MM, MM, ROUND_M, MapPage, Sheet, walk_points
from hushwalk.outputs.kit.pen import Pen
from hushwalk.outputs.kit.print_map import draw_map
from hushwalk.outputs.kit.print_margin import scale_words

LEAST_MM, MOST_MM, SLACK_MM = 60.0, 120.0, 2.0  # judgement: lower shows no walk, higher shows nobody more
SCALES = (7_500, 10_000, 12_500, 15_000, 20_000, 25_000, 30_000, 40_000, 50_000, 75_000, 100_000, 150_000)


class HomeMap(Flowable):  # type: ignore[misc] # reportlab has no types
    """A map as wide as the page and as high as there is room left, at the largest round scale that holds the walk."""

    def __init__(self, report: Report, width_mm: float, left_mm: float) -> None:
        super().__init__()
        high_mm = min(max(left_mm - SLACK_MM, LEAST_MM), MOST_MM)
        self.report, self.width, self.height = report, width_mm * MM, high_mm * MM
        frame = (LABELS_MM, LABELS_MM, width_mm - 2 * LABELS_MM, high_mm - 2 * LABELS_MM)
        self.page = _page(Sheet(width_mm, high_mm, frame), report)

    def wrap(self, *_: float) -> tuple[float, float]:
        """Give the room it needs [pt]."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw ground, walk and numbers, and the scale above the frame."""
        pen = Pen(self.canv)
        draw_map(pen, self.report, self.page, times=False)
        left, bottom, width, height = (side * MM for side in self.page.sheet.frame_mm)
        at = (left + width, bottom + height + LABELS_MM * MM / 2)
        pen.text(
            at, f"The walk, {scale_words(self.page)}, grid north up", SHEET_PT["tiny"], place="right", cleared=True
        )


def _page(sheet: Sheet, report: Report) -> MapPage:
    walk = walk_points(report)
    low, high = walk.min(axis=0) - ROUND_M, walk.max(axis=0) + ROUND_M
    room_mm = np.array(sheet.frame_mm[2:])
    fits = (scale for scale in SCALES if (high - low <= room_mm * scale / 1000).all())
    scale = next(fits, SCALES[-1])
    corner = (low + high) / 2 - room_mm * scale / 2000
    return MapPage(sheet, scale, (float(corner[0]), float(corner[1])))
