"""Draws what stands round a map: title, scale, check bar, the three norths, the key and the grid's words.

The map inside the frame is print_map.py's business.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np

from hushwalk.birds.bird_report import Detections
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.contours import contour_interval
from hushwalk.outputs.kit.crossing_signs import DASH_PT, DIAMOND
from hushwalk.outputs.kit.good_ground import good_ground
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import FOOT_MM, HEAD_MM, LABELS_MM, MARGIN_MM, MM, MapPage
from hushwalk.outputs.kit.pen import Pen, box
from hushwalk.outputs.kit.print_detections import FOUND_SIGNS, draw_sign
from hushwalk.outputs.kit.print_map import (
    BUSY_ROAD,
    GOOD_GREY,
    INDEX_PT,
    ROAD,
    STREAM_PT,
    TRACK,
    built_ground,
    grid_squares,
    grid_step_m,
    shows,
)
from hushwalk.site.norths import North
from hushwalk.site.scene import Scene
from hushwalk.types import FloatArray
from hushwalk.wording.credit_words import credit_line
from hushwalk.wording.formats import headline, offset
from hushwalk.wording.measures import height

KEY_PT, KEY_ROOM_PT = 11.0, 122.0  # judgement: rows of the key, closer where there are more than eleven
PARTS = 4  # judgement: halves and quarters of a round length are round
ROOM_PT = 26.0  # judgement: room that a number of four figures needs
LEAST_GAP_PT = 6.0  # judgement: nearer, the words of one time are read with the next
CHECK_MM = 100.0
PAGE_NUMBER_MM = 20.0  # judgement: room that the number of the page takes
CREDIT_MM = 5.2  # judgement: the line of the page number, below all else
SOUTHERN = 32700  # definition: EPSG codes of the southern zones begin here
YARD_M = 0.9144  # definition
APART_DEG = 12.0  # judgement: arrows closer than this cannot be told apart in print
SMALL, TINY = SHEET_PT["small"], SHEET_PT["tiny"]


@dataclass(frozen=True)
class Margin:
    """What stands round a map: its title, the day, four or five times, and the signs of the key with their words."""

    title: str
    day: date
    times: tuple[tuple[str, str], ...]
    key: tuple[tuple[str, str], ...]


def margin_of(report: Report) -> Margin:
    """Give the margin of a planned morning."""
    found = report.detections
    own = (
        ("walk", "walk, with direction"),
        ("stop", "stop and its times"),
        *((("earshot", "earshot: half are heard"),) if any(stop.earshot for stop in report.stops) else ()),
        *((("back", "straight back to the car"),) if report.bail_outs else ()),
        *((("other", "the other, same minutes"),) if report.crossings else ()),
    )
    key = (*own, *(found_key(found) if found else ()))
    return Margin(report.title, report.depart.date(), headline(report), key)


def ground_key(scene: Scene, page: MapPage) -> tuple[tuple[str, str], ...]:
    """Give the signs of what the page shows of the ground."""
    country, good = scene.country, good_ground(scene.country)
    wet = [
        word
        for shapes, word in ((country.streams, "stream"), (country.water, "water"), (country.wetlands, "wet ground"))
        if shows(shapes, page)
    ]
    interval = contour_interval(country.elevation)
    signs = (
        ("trail", "trail", shows(country.trails, page)),
        ("track", "track", shows(country.tracks, page)),
        ("road", "road", shows(country.roads, page)),
        ("busy", "busy road", shows(country.busy_roads, page)),
        ("stream", ", ".join(wet), bool(wet)),
        ("contour", f"contour, every {height(interval)}", country.elevation.known.any()),
        ("good", good.words if good else "", good is not None),
        ("built", "built-up ground", built_ground(scene, page) is not None),
        ("closed", "closed: keep out", shows(country.closed, page)),
        ("house", "house", shows(country.buildings, page)),
    )
    return tuple((sign, words) for sign, words, there in signs if there)


def found_key(detections: Detections) -> tuple[tuple[str, str], ...]:
    """Give the signs of what the field notes gave."""
    birds = (("bird", "bird inside: 50, 80, 95 %"),) if detections.birds else ()
    return (*birds, *((("log", "log found (full: main log)"),) if detections.logs else ()))


def draw_margin(pen: Pen, scene: Scene, page: MapPage, margin: Margin, part: str = "") -> None:
    """Draw title, scale, norths and key; ``part`` names the page of an atlas.

    Parameters
    ----------
    pen, page : where to draw.
    scene : the ground.
    margin : what the margin says.
    part : name of the page in an atlas, or empty.
    """
    _head(pen, margin, page, part)
    _check(pen, page)
    _credit(pen, scene, page)
    left, bottom, width, _ = page.sheet.frame_mm
    day, key = f"{margin.day:%d %b %Y}", (*margin.key, *ground_key(scene, page))
    if page.sheet.wide:
        x = left + width + LABELS_MM + 4
        top = page.sheet.height_mm - MARGIN_MM - HEAD_MM
        _scale(pen, page, x, top - 4)
        _norths(pen, scene.north, day, x, top - 68)
        _key(pen, key, x, top - 82)
        _grid_words(pen, scene, page, x, bottom + 12)
    else:
        top = bottom - LABELS_MM - 2
        _scale(pen, page, MARGIN_MM + 2, top)
        _norths(pen, scene.north, day, MARGIN_MM + 105, top - 36)
        _key(pen, key, MARGIN_MM + 142, top - 1)
        _grid_words(pen, scene, page, MARGIN_MM + 2, MARGIN_MM + 9)


def _credit(pen: Pen, scene: Scene, page: MapPage) -> None:
    """Draw whose data the map is made of; as many names as there is room for beside the number of the page."""
    room = (page.sheet.width_mm - 2 * MARGIN_MM - PAGE_NUMBER_MM) * MM
    lines = (credit_line(scene.country.credits, most) for most in range(len(scene.country.credits), 0, -1))
    words = next((line for line in lines if pen.width(line, TINY) <= room), "")
    if words:
        pen.text((MARGIN_MM * MM, CREDIT_MM * MM), words, TINY)


def _head(pen: Pen, margin: Margin, page: MapPage, part: str) -> None:
    top = (page.sheet.height_mm - MARGIN_MM) * MM
    right = (page.sheet.width_mm - MARGIN_MM) * MM
    title = f"{margin.title}{part and f', {part}'}"
    said = f"{margin.day:%A %d %B %Y}, {scale_words(page)}"
    pen.text((right, top - 13), said, SHEET_PT["text"], place="right")
    room = right - MARGIN_MM * MM - pen.width(said, SHEET_PT["text"]) - 8
    while pen.width(title, SHEET_PT["head"], bold=True) > room:
        title = title[:-1].rstrip(" .,:;")
    pen.text((MARGIN_MM * MM, top - 13), title, SHEET_PT["head"], bold=True)
    lead = SHEET_PT["lead"]
    parts = [(when, what, pen.width(when, lead, bold=True) + 3) for what, when in margin.times]
    across = right - MARGIN_MM * MM
    gap = (across - sum(wide + pen.width(what, SMALL) for _, what, wide in parts)) / (len(parts) - 1)
    x = MARGIN_MM * MM
    if gap < LEAST_GAP_PT:
        _times_above(pen, [(when, what, max(wide, pen.width(what, SMALL))) for when, what, wide in parts], top, across)
        return
    for when, what, wide in parts:
        pen.text((x, top - 33), when, lead, bold=True)
        pen.text((x + wide, top - 33), what, SMALL)
        x += wide + pen.width(what, SMALL) + gap


def _times_above(pen: Pen, parts: list[tuple[str, str, float]], top: float, across: float) -> None:
    """Write times above their words, where they have no room beside one another."""
    gap = (across - sum(wide for _, _, wide in parts)) / (len(parts) - 1)
    x = MARGIN_MM * MM
    for when, what, wide in parts:
        pen.text((x, top - 29), when, SHEET_PT["lead"], bold=True)
        pen.text((x, top - 38), what, SMALL)
        x += wide + gap


def scale_words(page: MapPage) -> str:
    """Write a scale with a gap before the last three figures, such as 1:10 000."""
    return f"1:{page.scale:,}".replace(",", " ")


def _scale(pen: Pen, page: MapPage, x_mm: float, y_mm: float) -> None:
    pen.text((x_mm * MM, y_mm * MM - 10), f"Scale {scale_words(page)}", SHEET_PT["lead"], bold=True)
    narrow = page.sheet.wide
    whole_m = max(n for n in (100, 200, 500, 1000, 2000) if n * 1000 / page.scale <= (42 if narrow else 90))
    _bar(pen, (x_mm, y_mm - 12), whole_m, 1.0, page.scale, "m")
    _bar(pen, (x_mm, y_mm - 21), whole_m, YARD_M, page.scale, "yards")


def _bar(pen: Pen, at_mm: tuple[float, float], whole: int, unit_m: float, scale: int, words: str) -> None:
    x, y = at_mm[0] * MM, at_mm[1] * MM
    step = whole * unit_m * 1000 / scale / PARTS * MM
    for k in range(PARTS):
        pen.area([box(x + k * step, y, step, 4.0)], COLOURS["text"] if k % 2 == 0 else "#ffffff", COLOURS["text"], 0.5)
    for k in range(PARTS) if step > ROOM_PT else (0, PARTS // 2):
        pen.text((x + k * step, y + 6), f"{whole * k // PARTS}", TINY, place="centre" if k else "left")
    pen.text((x + PARTS * step + 2, y + 6), f"{whole} {words}", TINY, place="centre")


def _check(pen: Pen, page: MapPage) -> None:
    """Draw a bar of exactly 100 mm: along the foot of an upright sheet, up the side of a wide one."""
    long = CHECK_MM * MM
    words = "100 mm long? If not, print again at 100 %, not fitted to the page."
    if page.sheet.wide:
        start = np.array([page.sheet.width_mm - MARGIN_MM - 2, MARGIN_MM + 2]) * MM
        along, across, angle = np.array([0.0, long]), np.array([-4.0, 0.0]), 90.0
        written = start + np.array([-7.0, 0.0])
    else:
        start = np.array([MARGIN_MM + 2, MARGIN_MM + FOOT_MM - 31]) * MM
        along, across, angle = np.array([long, 0.0]), np.array([0.0, 4.0]), 0.0
        written = start - np.array([0.0, 8.0])
    pen.line(np.array([start, start + along]), COLOURS["text"], 0.8)
    for share in np.linspace(0, 1, 11):
        at = start + share * along
        pen.line(np.array([at, at + across]), COLOURS["text"], 0.6)
    pen.text(written, words, TINY, angle_deg=angle)


def _norths(pen: Pen, north: North, day: str, x_mm: float, y_mm: float) -> None:
    """Draw true, grid and magnetic north from one point; the map's top is grid north."""
    foot = np.array([(x_mm + 14) * MM, (y_mm + 10) * MM])
    true_deg = _apart(-north.convergence_deg)
    magnetic_deg = _apart(north.declination_deg - north.convergence_deg)
    if true_deg * magnetic_deg > 0 and abs(true_deg - magnetic_deg) < APART_DEG:
        magnetic_deg += APART_DEG * np.sign(magnetic_deg)
    for angle, length, word in ((0.0, 62.0, "grid"), (true_deg, 72.0, "true"), (magnetic_deg, 50.0, "mag.")):
        head = foot + length * _way(angle)
        pen.line(np.array([foot, head]), COLOURS["text"], 0.9, (2, 1.5) if word == "grid" else ())
        pen.arrow(head, angle, 8.0, COLOURS["text"])
        pen.text(head + np.array([0, 6]), word, TINY, bold=True, place="centre", cleared=True)
    parts = [
        f"Magnetic: {offset(north.declination_deg)} of true",
        f"on {day},",
        f"give or take {north.declination_error_deg:.1f}°.",
        f"Grid: {offset(north.convergence_deg)} of true",
        "Angles are drawn wider.",
    ]
    for k, words in enumerate(parts):
        pen.text((x_mm * MM, (y_mm + 6.4) * MM - 8.2 * k), words.replace("0.0° of", "same as"), TINY)


def _apart(angle_deg: float) -> float:
    if abs(angle_deg) < 0.05:  # noqa: PLR2004 - judgement: less is written as 0.0
        return 0.0
    return float(np.sign(angle_deg) * max(abs(angle_deg), APART_DEG))


def _way(angle_deg: float) -> FloatArray:
    return np.array([np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))])


def _key(pen: Pen, key: tuple[tuple[str, str], ...], x_mm: float, y_mm: float) -> None:
    step = min(KEY_PT, KEY_ROOM_PT / len(key))
    for k, (sign, words) in enumerate(key):
        y = y_mm * MM - 6 - step * k
        _sign(pen, sign, x_mm * MM, y)
        pen.text(((x_mm + 9.5) * MM, y - 2), words, TINY)


def _sign(pen: Pen, sign: str, x: float, y: float) -> None:
    line = np.array([[x, y], [x + 22, y]])
    if sign in FOUND_SIGNS:
        draw_sign(pen, sign, x, y)
    elif sign in _DRAWN:
        _DRAWN[sign](pen, line)
    elif sign in ROADS:
        for colour, width, dash in ROADS[sign]:
            pen.line(line, colour, width, dash)
    else:
        pen.line(line, *_LINES[sign])


def _walk_sign(pen: Pen, line: FloatArray) -> None:
    pen.line(line, COLOURS["walk"], 2.2)
    pen.arrow(line[0] + (12, 0), 90.0, 9.0, COLOURS["walk"])


def _stop_sign(pen: Pen, line: FloatArray) -> None:
    pen.circle(line.mean(axis=0), 4.6, "#ffffff", COLOURS["text"], 1.2)


def _other_sign(pen: Pen, line: FloatArray) -> None:
    pen.line(line, COLOURS["bird"], 1.2, DASH_PT)
    pen.area([line[1] - (5, 0) + 4.0 * DIAMOND], "#ffffff", COLOURS["bird"], 1.2)


def _water_sign(pen: Pen, line: FloatArray) -> None:
    x, y = line[0]
    pen.line(np.array([[x, y], [x + 7, y]]), COLOURS["stream"], STREAM_PT)
    pen.area([box(x + 8, y - 3, 6, 6)], "#d3e3f0", COLOURS["stream"], 0.5)
    pen.reeds([box(x + 15, y - 3, 8, 7)], COLOURS["wetland"], 2.5)


def _good_sign(pen: Pen, line: FloatArray) -> None:
    pen.area([_patch(line)], GOOD_GREY, COLOURS["quiet"], 0.3)


def _built_sign(pen: Pen, line: FloatArray) -> None:
    pen.dots([_patch(line)], COLOURS["house"])


def _house_sign(pen: Pen, line: FloatArray) -> None:
    x, y = line[0]
    pen.area([box(x + 8, y - 3, 6, 6)], COLOURS["house"], COLOURS["house"], 0.5)


def _closed_sign(pen: Pen, line: FloatArray) -> None:
    pen.hatch([_patch(line)], COLOURS["text"], 4.0)
    pen.area([_patch(line)], None, COLOURS["text"], 0.8)


def _patch(line: FloatArray) -> FloatArray:
    return box(line[0, 0], line[0, 1] - 3, 22, 7)


_DRAWN: dict[str, Callable[[Pen, FloatArray], None]] = {
    "walk": _walk_sign,
    "stop": _stop_sign,
    "other": _other_sign,
    "stream": _water_sign,
    "good": _good_sign,
    "built": _built_sign,
    "house": _house_sign,
    "closed": _closed_sign,
}
_LINES: dict[str, tuple[str, float, tuple[float, ...]]] = {
    "earshot": (COLOURS["text"], 0.7, (0.8, 2.6)),
    "back": (COLOURS["way_back"], 0.7, (2, 2)),
    "trail": (COLOURS["text"], 0.9, (5, 2.5)),
    "contour": (COLOURS["contour"], INDEX_PT, ()),
}
ROADS = {"road": ROAD, "track": TRACK, "busy": BUSY_ROAD}


def _grid_words(pen: Pen, scene: Scene, page: MapPage, x_mm: float, y_mm: float) -> None:
    squares = " and ".join(grid_squares(scene, page))
    west, south, _, _ = page.bounds_m
    step = grid_step_m(page)
    x, y = np.ceil(west / step) * step, np.ceil(south / step) * step
    half = "N" if scene.grid.epsg < SOUTHERN else "S"
    parts = (
        f"USNG {squares}.",
        f"Grid lines {step:.0f} m apart.",
        f"First lines {x:.0f} m E, {y:.0f} m N.",
        f"UTM zone {scene.grid.epsg % 100} {half}, WGS 84, grid metres.",
    )
    for k, words in enumerate(parts):
        pen.text((x_mm * MM, y_mm * MM - 8.2 * k), words, TINY)
