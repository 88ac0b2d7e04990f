"""The plan view of a log true to scale: bird, hides, lens, sun, way in, wind and neighbours; true north up.

What is seen from the seat is seat_view.py's business, the hours of the day session_drawings.py's.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.logs.sides import Side
from hushwalk.outputs.kit.labels import Box, free_places, round_box
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import Pen, box
from hushwalk.types import FloatArray
from hushwalk.wording.measures import distance, speed, unit

TINY, SMALL = SHEET_PT["tiny"], SHEET_PT["small"]
TEXT, QUIET, PAPER = COLOURS["text"], COLOURS["quiet"], COLOURS["paper"]
SCALES = (100, 150, 200, 250, 300, 400, 500, 600, 750, 1000, 2000)
SUN_AT_MIN = (0, 60, 120, 180)
LOG_LENGTH_M = 3.0  # judgement: drawn so long where its length is not known
NEIGHBOUR_M = 500.0  # judgement: farther off his display says nothing here
WINDY_MS = 1.0  # judgement: less is no wind that one could name
NO_LINE = np.zeros((0, 2))


@dataclass(frozen=True)
class View:
    """A square on the page: its lower left corner and side [pt], and the scale (200 for 1:200)."""

    left: float
    bottom: float
    side: float
    scale: int

    @property
    def middle(self) -> FloatArray:
        """Where the log lies on the page [pt]."""
        return np.array([self.left + self.side / 2, self.bottom + self.side / 2])

    def at(self, azimuth_deg: float, distance_m: float) -> FloatArray:
        """Point of the page at an azimuth and distance from the log, true north up."""
        return self.middle + self.points(distance_m) * _way(azimuth_deg)

    def rim(self, azimuth_deg: float, inset: float) -> FloatArray:
        """Point near the edge of the square at an azimuth, so far inside [pt]."""
        way = _way(azimuth_deg)
        return self.middle + (self.side / 2 - inset) / max(abs(float(way[0])), abs(float(way[1]))) * way

    def points(self, metres: float) -> float:
        """Length on the page [pt]."""
        return metres * 1000 / self.scale * MM


def view_of(plan: LogPlan, left: float, bottom: float, side: float) -> View:
    """Choose the largest usual scale that holds the hides and leaves the rim free for what lies beyond.

    Parameters
    ----------
    plan : of the log.
    left, bottom, side : square on the page [pt].

    Returns
    -------
    View
    """
    need_m = max(side_.distance_m for side_ in shown_sides(plan)) + 1.2
    fits = [scale for scale in SCALES if need_m * 1000 / scale * MM <= side / 2 - 24]
    return View(left, bottom, side, fits[0] if fits else SCALES[-1])


def shown_sides(plan: LogPlan) -> tuple[Side, ...]:
    """Give the sides that are drawn, at most three: those where a hide can stand, or the best if there is none."""
    return tuple(seat.side for seat in plan.seats if seat.possible)[:3] or plan.sides[:1]


def draw_plan_view(pen: Pen, report: SessionReport, plan: LogPlan, view: View) -> None:
    """Draw log, bird, hides, lens, sun, way in, wind and neighbours.

    Parameters
    ----------
    pen : draws on the page.
    report, plan : of the sessions and of the log.
    view : square on the page.
    """
    pen.area([box(view.left, view.bottom, view.side, view.side)], PAPER, None)
    corner = _north_corner(plan, view)
    taken = [round_box(view.middle, 9.0), _bar_box(view), (corner[0], corner[1], corner[0] + 78, corner[1] + 36)]
    marks: list[tuple[FloatArray, str]] = []
    with pen.inside(view.left, view.bottom, view.side, view.side):
        _rings(pen, view)
        _lens_cone(pen, plan, view)
        taken += [_hide(pen, plan, view, number) for number in reversed(range(len(shown_sides(plan))))]
        _log(pen, plan, view)
        marks += _sun_marks(pen, plan, view)
        taken += [round_box(view.rim(azimuth, 12.0) - 11 * _way(azimuth), 5.0) for azimuth, _, _ in _suns(plan)]
        marks += _arrows(pen, report, plan, view)
    _scale_bar(pen, view)
    _norths(pen, report, corner)
    _labels(pen, view, [*marks, *_ring_marks(view, plan)], taken)
    pen.area([box(view.left, view.bottom, view.side, view.side)], None, TEXT, 0.8)


def _way(azimuth_deg: float) -> FloatArray:
    angle = np.radians(azimuth_deg)
    return np.array([np.sin(angle), np.cos(angle)])


def _bar_box(view: View) -> Box:
    """Give the room of the scale bar."""
    return view.left, view.bottom, view.left + max(view.points(5.0), 20) + 58, view.bottom + 16


def _north_corner(plan: LogPlan, view: View) -> tuple[float, float]:
    """Give the lower left of the room for the north marks: in the corner that is farthest from all that is drawn."""
    left, right = view.left + 1, view.left + view.side - 79
    low, high = view.bottom + 1, view.bottom + view.side - 37
    drawn = [view.at(side.azimuth_deg, side.distance_m) for side in shown_sides(plan)]
    drawn += [view.rim(azimuth, 12.0) for azimuth, _, _ in _suns(plan)]
    drawn += [] if plan.comes_from_deg is None else [view.rim(plan.comes_from_deg, 14.0)]
    drawn += [] if plan.log.wind_from_deg is None else [view.rim(plan.log.wind_from_deg, 14.0)]
    corners = [(right, high), (left, high), (right, low)]
    return max(corners, key=lambda at: min(float(np.hypot(*(one - at - np.array([39.0, 18.0])))) for one in drawn))


def _labels(pen: Pen, view: View, marks: list[tuple[FloatArray, str]], taken: list[Box]) -> None:
    """Write words beside their points where there is room, inside the frame; what has none is left out."""
    used = [*taken, *(round_box(at, 5.0) for at, _ in marks)]
    frame = (view.left + 1, view.bottom + 1, view.left + view.side - 1, view.bottom + view.side - 1)
    for at, words in marks:
        size = (pen.width(words, TINY) + 2, TINY + 1)
        others = [one for one in used if one != round_box(at, 5.0)]
        (place,) = free_places([at], size, 6.0, others, frame, NO_LINE)
        if place is not None:
            pen.text((place[0] + 1, place[1] + 1.5), words, TINY, cleared=True)
            used.append((place[0], place[1], place[0] + size[0], place[1] + size[1]))


def _rings(pen: Pen, view: View) -> None:
    _, unit_m = unit("short")
    for away in (5, 10, 15, 20, 30, 40):
        pen.line(np.array([view.at(a, away * unit_m) for a in range(0, 361, 6)]), QUIET, 0.4, (1.5, 2.0))


def _ring_marks(view: View, plan: LogPlan) -> list[tuple[FloatArray, str]]:
    free, (word, unit_m) = free_way(plan), unit("short")
    return [
        (view.at(free, away * unit_m), f"{away} {word}")
        for away in (10, 20, 30)
        if view.points(away * unit_m) < view.side / 2 - 12
    ]


def free_way(plan: LogPlan) -> float:
    """Give the azimuth that lies farthest from hides, lens, bird, sun and way in: the labels of the rings go there."""
    taken = [*(side.azimuth_deg for side in shown_sides(plan)), plan.side.lens_deg, *plan.facing_deg]
    taken += [] if plan.comes_from_deg is None else [plan.comes_from_deg]
    taken += [azimuth for azimuth, _, _ in _suns(plan)]
    every = np.arange(0.0, 360.0, 5.0)
    apart = np.abs((every[:, np.newaxis] - np.array(taken)[np.newaxis] + 180) % 360 - 180)
    return float(every[int(np.argmax(apart.min(axis=1)))])


def _lens_cone(pen: Pen, plan: LogPlan, view: View) -> None:
    side = plan.side
    half_m = plan.field_m / 2 * 2.2  # the field behind the log, as far again
    hide, far = view.at(side.azimuth_deg, side.distance_m), view.at(side.lens_deg, side.distance_m * 1.2)
    across = view.at(side.azimuth_deg + 90, half_m) - view.middle
    pen.area([np.array([hide, far + across, far - across])], "#e6e6e6", QUIET, 0.4)
    pen.line(np.array([hide, far]), TEXT, 0.6, (5.0, 2.0, 1.0, 2.0))


def _suns(plan: LogPlan) -> Iterator[tuple[float, datetime, bool]]:
    """Azimuth of the sun through the session, the moment, and whether it shines on the log."""
    if plan.best is None or plan.best.session is None:
        return
    sky, anchor = plan.best.sky, plan.best.session.anchor
    backward = -1 if plan.best.session.when == "evening" else 1
    for step in SUN_AT_MIN:
        moment = anchor + timedelta(minutes=backward * step)
        minute = round((moment - sky.at(0)) / timedelta(minutes=1))
        if 0 <= minute < sky.n_minutes:
            lit = any(s.state == "sun" and s.start_min <= minute < s.end_min for s in plan.best.spells)
            yield float(sky.sun_azimuth_deg[minute]), moment, lit


def _sun_marks(pen: Pen, plan: LogPlan, view: View) -> list[tuple[FloatArray, str]]:
    """Mark where the sun stands at the rim: with spokes in sun, dull while the log lies in shade."""
    marks = []
    for azimuth, moment, lit in _suns(plan):
        way, at = _way(azimuth), view.rim(azimuth, 12.0)
        pen.line(np.array([at - 7 * way, at - 13 * way]), TEXT, 1.0)
        pen.arrow(at - 13 * way, azimuth + 180, 5.0, TEXT)
        for spoke in range(0, 360, 45) if lit else ():
            out = _way(spoke)
            pen.line(np.array([at + 5.5 * out, at + 7.5 * out]), TEXT, 0.9)
        pen.circle(at, 4.2, COLOURS["stop"] if lit else "#8a8a8a", TEXT, 0.9)
        marks.append((at - 16 * way, f"{moment:%H:%M}"))
    return marks


def _arrows(pen: Pen, report: SessionReport, plan: LogPlan, view: View) -> list[tuple[FloatArray, str]]:
    """Draw the way in, the wind and neighbours at the rim; give their labels."""
    marks = []
    if plan.comes_from_deg is not None:
        way, at = _way(plan.comes_from_deg), view.rim(plan.comes_from_deg, 6.0)
        pen.line(np.array([at, at - 16 * way]), TEXT, 1.6, (2.0, 2.0))
        pen.arrow(at - 18 * way, plan.comes_from_deg + 180, 7.0, TEXT)
        marks.append((at - 8 * way, "way in"))
    wind = plan.log.wind_from_deg
    if wind is not None and plan.log.wind_ms >= WINDY_MS:
        way, at = _way(wind), view.rim(wind, 5.0)
        for across in (-3.0, 3.0):
            edge = at + across * np.array([way[1], -way[0]])
            pen.line(np.array([edge, edge - 13 * way]), QUIET, 0.9)
        pen.arrow(at - 15 * way, wind + 180, 7.0, QUIET)
        marks.append((at - 7 * way, f"wind {speed(plan.log.wind_ms)}"))
    for other in report.logs:
        east, north = np.subtract(other.place.xy_m, plan.place.xy_m)
        away = float(np.hypot(east, north))
        if other is not plan and 0 < away <= NEIGHBOUR_M:
            azimuth = float(np.degrees(np.arctan2(east, north))) % 360
            at = view.rim(azimuth, 7.0)
            pen.arrow(at, azimuth, 8.0, QUIET)
            marks.append((at, f"{other.name} {distance(away)}"))
    return marks


def _hide(pen: Pen, plan: LogPlan, view: View, number: int) -> Box:
    side = shown_sides(plan)[number]
    at, half = view.at(side.azimuth_deg, side.distance_m), max(view.points(0.75), 5.5)
    fill, colour = (TEXT, PAPER) if number == 0 else (PAPER, TEXT)
    pen.area([box(at[0] - half, at[1] - half, 2 * half, 2 * half)], fill, TEXT, 1.0)
    pen.text(at - np.array([0.0, 2.6]), str(number + 1), SMALL, bold=True, colour=colour, place="centre")
    return round_box(at, half + 1)


def _log(pen: Pen, plan: LogPlan, view: View) -> None:
    axis = (plan.facing_deg[0] + 90) if plan.facing_deg else 90.0
    ends = np.array([view.at(axis, LOG_LENGTH_M / 2), view.at(axis + 180, LOG_LENGTH_M / 2)])
    pen.line(ends, TEXT, max(view.points(0.3), 3.0))
    pen.line(ends, PAPER, max(view.points(0.3), 3.0) - 1.6)
    for facing in plan.facing_deg:
        pen.line(np.array([view.middle, view.at(facing, 2.2)]), TEXT, 1.2)
        pen.arrow(view.at(facing, 2.6), facing, 8.0, TEXT)
    pen.circle(view.middle, 2.6, TEXT, PAPER, 0.8)


def _scale_bar(pen: Pen, view: View) -> None:
    word, unit_m = unit("short")
    length, left, bottom = view.points(5.0 * unit_m), view.left + 6, view.bottom + 6
    pen.area([box(left - 5, bottom - 5, length + 62, 14)], PAPER)
    pen.area([box(left, bottom, length, 3)], TEXT, TEXT, 0.5)
    pen.text((left + length + 4, bottom - 1), f"5 {word}, 1:{view.scale}", TINY)


def _norths(pen: Pen, report: SessionReport, corner: tuple[float, float]) -> None:
    """Draw both norths on cleared ground inside the frame."""
    left, low = corner
    pen.area([box(left, low, 77, 35)], PAPER)
    at = np.array([left + 11, low + 4])
    pen.line(np.array([at, at + np.array([0.0, 20.0])]), TEXT, 1.1)
    pen.arrow(at + np.array([0.0, 22.0]), 0.0, 7.0, TEXT)
    pen.line(np.array([at, at + 20 * _way(report.north.declination_deg)]), TEXT, 0.6, (2.0, 1.5))
    east = "E" if report.north.declination_deg >= 0 else "W"
    for words, up in (("true north", 21.0), (f"compass {abs(report.north.declination_deg):.1f}° {east}", 10.0)):
        size = min(TINY, TINY * 55 / pen.width(words, TINY))
        pen.text((left + 20, low + up), words, size)
