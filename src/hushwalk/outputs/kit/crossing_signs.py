"""Stops of the same minutes of two people, on page and sheet: a line from stop to stop, a diamond at the other's.

The walk and its stops are drawn by page_layers.py and print_map.py.
"""

from typing import Any

import numpy as np
from shapely import LineString, Polygon, box

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.map_layer import MapLayer, Style, area, line
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM, MapPage
from hushwalk.outputs.kit.pen import Pen
from hushwalk.types import FloatArray
from hushwalk.wording.crossing_words import HEAD, crossing_cells, crossing_row
from hushwalk.wording.formats import clock

DIAMOND_M, DIAMOND_PT = 11.0, 10.5  # judgement: its corners show where a stop lies on it
DASH_PT = (7.0, 2.0, 1.0, 2.0)  # judgement: told from trails and earshot without colour
INSET_PT = 12.0  # judgement: room for the words of a stop that lies off the page
STYLE: Style = line(COLOURS["bird"], 2.2, "10 4 2 4")
KEY = "where the other listens in the same minutes"
DIAMOND = np.array([[0.0, 1.0], [1.0, 0.0], [0.0, -1.0], [-1.0, 0.0]])


def crossing_layers(report: Report) -> tuple[MapLayer, ...]:
    """Give the layer of the other's stops; none where nobody else listens in the same minutes."""
    if not report.crossings:
        return ()
    stops = {stop.place.name: stop.place.xy_m for stop in report.stops}
    lines = tuple(LineString([stops[one.stop], one.place.xy_m]) for one in report.crossings)
    places = {one.place.name: one.place.xy_m for one in report.crossings}
    diamonds = tuple(Polygon(np.array(xy) + DIAMOND_M * DIAMOND) for xy in places.values())
    parts = (
        (line(COLOURS["casing"], 5, opacity=0.8), lines),
        (STYLE, lines),
        (area(COLOURS["bird"], COLOURS["paper"], 2.2), diamonds),
    )
    return (MapLayer("crossings", HEAD, parts),)


def crossing_pins(report: Report) -> list[dict[str, Any]]:
    """Give a pin for every stop of the other, with the minutes that are shared when it is opened."""
    pins: dict[str, dict[str, Any]] = {}
    for one in report.crossings:
        at = [one.place.lat_deg, one.place.lon_deg]
        pin = pins.setdefault(
            one.place.name,
            {"group": "crossings", "face": "other", "text": one.place.name[:8], "at": at, "title": one.place.name}
            | {"rows": [], "why": []},
        )
        pin["rows"].append([f"with {one.stop}", crossing_row(one)[1]])
    return list(pins.values())


def crossing_lines(report: Report) -> tuple[tuple[str, ...], ...]:
    """Give the table of the crossings, a row a crossing."""
    return tuple(crossing_cells(one) for one in report.crossings)


def draw_crossings(pen: Pen, report: Report, page: MapPage) -> None:
    """Draw lines from stop to stop, and diamonds where the other listens; the walk and its numbers come over them.

    Parameters
    ----------
    pen, page : where to draw.
    report : the morning of one of two people.
    """
    for ends in _ends(report, page):
        pen.line(ends, "#ffffff", 3.0)
        pen.line(ends, COLOURS["bird"], 1.2, DASH_PT)
    for one, ends in zip(report.crossings, _ends(report, page), strict=True):
        at = page.points(np.array([one.place.xy_m]))[0]
        if np.allclose(at, ends[1]):
            pen.area([at + DIAMOND_PT * DIAMOND], "#ffffff", COLOURS["bird"], 1.4)


def draw_others(pen: Pen, report: Report, page: MapPage) -> None:
    """Name the stops where the other listens, with the minutes.

    Parameters
    ----------
    pen, page : where to draw.
    report : the morning of one of two people.
    """
    written: dict[str, tuple[FloatArray, list[str]]] = {}
    for one, ends in zip(report.crossings, _ends(report, page), strict=True):
        shared = f"{clock(one.begin)} to {clock(one.end)}"
        written.setdefault(one.place.name, (ends[1], []))[1].append(shared)
    for name, (at, minutes) in written.items():
        for k, words in enumerate((*reversed(minutes), name)):
            up = DIAMOND_PT + 2.0 + 1.1 * SHEET_PT["small"] * k
            bold = words == name
            pen.text(at + np.array([0.0, up]), words, SHEET_PT["small"], bold=bold, place="centre", cleared=True)


def _ends(report: Report, page: MapPage) -> list[FloatArray]:
    """Both ends of each line on the page [pt]; that of a stop off the page lies where the line leaves it."""
    left, bottom, width, height = (side * MM for side in page.sheet.frame_mm)
    frame = box(left + INSET_PT, bottom + INSET_PT, left + width - INSET_PT, bottom + height - INSET_PT)
    stops = {stop.place.name: stop.place.xy_m for stop in report.stops}
    found = []
    for one in report.crossings:
        ends = page.points(np.array([stops[one.stop], one.place.xy_m]))
        seen = LineString(ends).intersection(frame)
        found.append(np.array([ends[0], seen.coords[-1]]) if not seen.is_empty and len(seen.coords) > 1 else ends)
    return found
