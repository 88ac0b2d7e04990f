"""Draws what the field notes gave on a map page of a sheet: ground where birds may be, areas to search, logs.

The ground and the walk are print_map.py's business.
"""

import numpy as np
from shapely.geometry import Polygon

from hushwalk.birds.bird_report import Detections, LogRole
from hushwalk.birds.search.planned_search import Search
from hushwalk.grid.polyline import rings_area
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MapPage
from hushwalk.outputs.kit.pen import Pen, box
from hushwalk.types import FloatArray

LINES = {0.95: (0.7, (0.6, 2.2)), 0.8: (0.9, (4.0, 2.0)), 0.5: (1.5, ())}
"""Judgement: width and dashes [pt] by chance; told apart without colour, the middle is seen first."""


AREA_PT = 2.6
FOUND_SIGNS = ("bird", "area", "log")
"""Definition: signs of the key that are drawn here."""


def draw_sign(pen: Pen, sign: str, x: float, y: float) -> None:
    """Draw one sign of the key, 22 pt wide.

    Parameters
    ----------
    pen : to draw with.
    sign : one of FOUND_SIGNS.
    x, y : left end and middle height of the sign [pt].
    """
    if sign == "bird":
        for k, (width, dash) in enumerate(LINES.values()):
            pen.line(np.array([[x, y], [x + 22, y]]) + np.array([0.0, 2.6 - 2.6 * k]), COLOURS["bird"], width, dash)
    elif sign == "area":
        pen.area([box(x + 1, y - 3, 20, 7)], None, COLOURS["bird"], AREA_PT)
    else:
        pen.area([box(x + 7, y - 2, 8, 4)], COLOURS["log"], COLOURS["log"], 1.2)


def draw_birds(pen: Pen, detections: Detections, page: MapPage, only: frozenset[str] | None = None) -> None:
    """Draw the ground that holds each bird with a chance of 50, 80 and 95 %, and its name; all, or ``only`` some.

    Parameters
    ----------
    pen, page : where to draw.
    detections : what the notes gave.
    only : names of the birds to draw, or None for all.
    """
    birds = [bird for bird in detections.birds if only is None or bird.name in only]
    for share, (width, dash) in LINES.items():
        for ground in (ground for bird in birds for ground in bird.grounds):
            if abs(ground.share - share) < 1e-9:  # noqa: PLR2004 - the same figure, written twice
                for ring in _rings(ground.rings, page):
                    pen.line(ring, COLOURS["bird"], width, dash)
    for bird in birds:
        _label(pen, bird.name, page.points(np.array([bird.middle.xy_m]))[0])


def draw_areas(pen: Pen, search: Search, page: MapPage) -> None:
    """Draw the areas of a search with a heavy rim; a hatch would be taken for closed ground.

    Parameters
    ----------
    pen, page : where to draw.
    search : the areas in walking order.
    """
    for leg in search.legs:
        rings = _rings(leg.rings, page)
        if rings:
            pen.area(rings, None, "#ffffff", AREA_PT + 1.6)
            pen.area(rings, None, COLOURS["bird"], AREA_PT)


def draw_logs(pen: Pen, detections: Detections, page: MapPage) -> None:
    """Draw the logs found, main logs full and lesser ones open, with a line to where the camera could stand.

    Parameters
    ----------
    pen, page : where to draw.
    detections : what the notes gave.
    """
    for log in detections.logs:
        at, camera = page.points(np.array([log.place.xy_m, log.camera_m]))
        pen.line(
            np.stack([at, at + 9 * (camera - at) / max(float(np.hypot(*(camera - at))), 1e-9)]), COLOURS["log"], 1.2
        )
        fill = COLOURS["log"] if log.role is LogRole.MAIN else "#ffffff"
        pen.area([box(at[0] - 4, at[1] - 2, 8, 4)], fill, COLOURS["log"], 1.2)
        _label(pen, log.name, at + np.array([0.0, 10.0]))


def _label(pen: Pen, words: str, at: FloatArray) -> None:
    pen.text(at - np.array([0.0, 2.6]), words, SHEET_PT["small"], bold=True, place="centre", cleared=True)


def _rings(rings: tuple[FloatArray, ...], page: MapPage) -> list[FloatArray]:
    area = rings_area(rings)
    parts = [part for part in getattr(area, "geoms", [area]) if isinstance(part, Polygon) and not part.is_empty]
    return [page.points(np.asarray(ring.coords)) for part in parts for ring in (part.exterior, *part.interiors)]
