"""Two drawings of a filming session: the plan view of log and hide, true to scale, and the hours of the morning.

Where they stand on the sheet is session_sheet.py's business.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from hushwalk.filming.session_report import DayAtLog, LogPlan, SessionReport
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import Pen, box, inside
from hushwalk.types import FloatArray

TINY, SMALL = SHEET_PT["tiny"], SHEET_PT["small"]
SCALES = (100, 150, 200, 250, 300, 400, 500, 750, 1000, 2000)
SUN_AT_MIN = (0, 60, 120, 180)
LOG_LENGTH_M = 3.0  # judgement: drawn so long where its length is not known


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
        angle = np.radians(azimuth_deg)
        return self.middle + self.points(distance_m) * np.array([np.sin(angle), np.cos(angle)])

    def points(self, metres: float) -> float:
        """Length on the page [pt]."""
        return metres * 1000 / self.scale * MM


def view_of(plan: LogPlan, left: float, bottom: float, side: float) -> View:
    """Choose the largest usual scale that holds the hide.

    Parameters
    ----------
    plan : of the log.
    left, bottom, side : square on the page [pt].

    Returns
    -------
    View
    """
    need_m = max(side_.distance_m for side_ in plan.sides[:3]) + 1.2
    fits = [scale for scale in SCALES if need_m * 1000 / scale * MM <= side / 2 - 3]
    return View(left, bottom, side, fits[0] if fits else SCALES[-1])


def draw_plan_view(pen: Pen, report: SessionReport, plan: LogPlan, view: View) -> None:
    """Draw log, bird, hides, lens, sun and the way in, true to scale with true north up.

    Parameters
    ----------
    pen : draws on the page.
    report, plan : of the sessions and of the log.
    view : square on the page.
    """
    pen.area([box(view.left, view.bottom, view.side, view.side)], "#ffffff", COLOURS["text"], 0.8)
    frame = [box(view.left, view.bottom, view.side, view.side)]
    with inside(pen.canvas, frame):
        _rings(pen, plan, view)
        _lens_cone(pen, plan, view)
        _sun_rays(pen, plan, view)
        _way_in(pen, plan, view)
        for number in (2, 1, 0):
            _hide(pen, plan, view, number)
        _log(pen, plan, view)
    _scale_bar(pen, view)
    _norths(pen, report, _free_corner(plan, view))


def _free_corner(plan: LogPlan, view: View) -> FloatArray:
    """Give the middle of the upper corner, or the lower right one, that is farthest from hides and way in."""
    reach = view.side / 2
    corners = view.middle + np.array([[-reach + 34, reach - 20], [reach - 42, reach - 20], [reach - 42, -reach + 20]])
    taken = [view.at(side.azimuth_deg, side.distance_m) for side in plan.sides[:3]]
    if plan.comes_from_deg is not None:
        angle = np.radians(plan.comes_from_deg)
        taken.append(view.middle + (reach - 17) * np.array([np.sin(angle), np.cos(angle)]))
    room = [min(float(np.hypot(*(corner - at))) for at in taken) for corner in corners]
    return np.asarray(corners[int(np.argmax(room))])


def _rings(pen: Pen, plan: LogPlan, view: View) -> None:
    free_deg = free_way(plan)
    for metres in (5, 10, 15, 20, 30, 40):
        ring = np.array([view.at(a, metres) for a in range(0, 361, 6)])
        pen.line(ring, COLOURS["quiet"], 0.4, (1.5, 2.0))
        if view.points(metres) < view.side / 2:
            at = view.at(free_deg, metres) - np.array([0.0, 2.2])
            pen.text(at, f"{metres} m", TINY, colour=COLOURS["quiet"], place="centre", cleared=True)


def free_way(plan: LogPlan) -> float:
    """Give the azimuth that lies farthest from hides, lens, bird, sun and way in: the labels of the rings go there."""
    taken = [*(side.azimuth_deg for side in plan.sides[:3]), plan.side.lens_deg, *plan.facing_deg]
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
    pen.area([np.array([hide, far + across, far - across])], "#e6e6e6", COLOURS["quiet"], 0.4)
    pen.line(np.array([hide, far]), COLOURS["text"], 0.6, (5.0, 2.0, 1.0, 2.0))


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


def _sun_rays(pen: Pen, plan: LogPlan, view: View) -> None:
    """Mark where the sun stands at the edge of the picture: with spokes in sun, dull while the log lies in shade."""
    for azimuth, moment, lit in _suns(plan):
        reach = (view.side / 2 - 13) / max(abs(np.sin(np.radians(azimuth))), abs(np.cos(np.radians(azimuth))))
        way = np.array([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))])
        at = view.middle + reach * way
        pen.line(np.array([at - 10 * way, at - 20 * way]), COLOURS["text"], 1.0)
        pen.arrow(at - 20 * way, azimuth + 180, 5.0, COLOURS["text"])
        for spoke in range(0, 360, 45) if lit else ():
            out = np.array([np.sin(np.radians(spoke)), np.cos(np.radians(spoke))])
            pen.line(np.array([at + 5.5 * out, at + 7.5 * out]), COLOURS["text"], 0.9)
        pen.circle(at, 4.2, COLOURS["stop"] if lit else "#8a8a8a", COLOURS["text"], 0.9)
        pen.text(at - 34 * way - np.array([0.0, 2.0]), f"{moment:%H:%M}", TINY, place="centre", cleared=True)


def _way_in(pen: Pen, plan: LogPlan, view: View) -> None:
    if plan.comes_from_deg is None:
        return
    way = np.array([np.sin(np.radians(plan.comes_from_deg)), np.cos(np.radians(plan.comes_from_deg))])
    start = view.middle + (view.side / 2 - 40) * way
    pen.line(np.array([start + 26 * way, start]), COLOURS["text"], 1.6, (2.0, 2.0))
    pen.arrow(start, plan.comes_from_deg + 180, 8.0, COLOURS["text"])
    pen.text(start + 26 * way + np.array([0.0, 3.0]), "you come", TINY, place="centre", cleared=True)


def _hide(pen: Pen, plan: LogPlan, view: View, number: int) -> None:
    side = plan.sides[number]
    at, half = view.at(side.azimuth_deg, side.distance_m), max(view.points(0.75), 5.5)
    fill, colour = (COLOURS["text"], "#ffffff") if number == 0 else ("#ffffff", COLOURS["text"])
    pen.area([box(at[0] - half, at[1] - half, 2 * half, 2 * half)], fill, COLOURS["text"], 1.0)
    pen.text(at - np.array([0.0, 2.6]), str(number + 1), SMALL, bold=True, colour=colour, place="centre")


def _log(pen: Pen, plan: LogPlan, view: View) -> None:
    axis = (plan.facing_deg[0] + 90) if plan.facing_deg else 90.0
    ends = np.array([view.at(axis, LOG_LENGTH_M / 2), view.at(axis + 180, LOG_LENGTH_M / 2)])
    pen.line(ends, COLOURS["text"], max(view.points(0.3), 3.0))
    pen.line(ends, "#ffffff", max(view.points(0.3), 3.0) - 1.6)
    for facing in plan.facing_deg:
        pen.line(np.array([view.middle, view.at(facing, 2.2)]), COLOURS["text"], 1.2)
        pen.arrow(view.at(facing, 2.6), facing, 8.0, COLOURS["text"])
    pen.circle(view.middle, 2.6, COLOURS["text"], "#ffffff", 0.8)


def _scale_bar(pen: Pen, view: View) -> None:
    length, left, bottom = view.points(5.0), view.left + 6, view.bottom + 8
    pen.area([box(left - 3, bottom - 5, length + 62, 15)], "#ffffff")
    pen.area([box(left, bottom, length, 3)], COLOURS["text"], COLOURS["text"], 0.5)
    pen.text((left + length + 4, bottom - 1.5), f"5 m, 1:{view.scale}", TINY)


def _norths(pen: Pen, report: SessionReport, middle: FloatArray) -> None:
    at = middle + np.array([-19.0, -12.0])
    pen.area([box(middle[0] - 31, middle[1] - 18, 62, 36)], "#ffffff")
    pen.line(np.array([at, at + np.array([0.0, 20.0])]), COLOURS["text"], 1.1)
    pen.arrow(at + np.array([0.0, 22.0]), 0.0, 7.0, COLOURS["text"])
    turn = np.radians(report.north.declination_deg)
    pen.line(np.array([at, at + 20 * np.array([np.sin(turn), np.cos(turn)])]), COLOURS["text"], 0.6, (2.0, 1.5))
    pen.text(at + np.array([8.0, 15.0]), "true north", TINY)
    side = "E" if report.north.declination_deg >= 0 else "W"
    pen.text(at + np.array([8.0, 6.0]), f"compass {abs(report.north.declination_deg):.1f}° {side}", TINY)


STATE_FILL = {"sun down": "#4a4a4a", "ridge shade": "#9a9a9a", "tree shade": "#cfcfcf", "sun": "#ffffff"}


def draw_hours(pen: Pen, day: DayAtLog, left: float, bottom: float, width: float, height: float) -> None:
    """Draw bird, light and worth by the hour over a strip of sun and shade.

    Parameters
    ----------
    pen : draws on the page.
    day : at the log; nothing is drawn where it has no session.
    left, bottom, width, height : on the page [pt].
    """
    session = day.session
    if session is None:
        return
    strip, foot = 10.0, 12.0
    low, top = bottom + strip + foot, bottom + height - 12
    start = session.until - timedelta(minutes=len(session.minutes))

    def x(moment: datetime) -> float:
        return left + (moment - start) / (session.until - start) * width

    pen.area([box(left, low, width, top - low)], "#ffffff", COLOURS["text"], 0.7)
    hour = start.replace(minute=0, second=0) + timedelta(hours=1)
    while hour < session.until:
        pen.line(np.array([[x(hour), low], [x(hour), top]]), COLOURS["line"], 0.4)
        pen.text((x(hour), bottom), f"{hour:%H}", TINY, place="centre")
        hour += timedelta(hours=1)
    worth = session.worth / max(float(session.worth.max()), 1e-9)
    across = left + np.arange(len(worth)) / len(worth) * width
    rise = top - low
    edge = np.concatenate([[left], across, [left + width]])
    pen.area([np.column_stack([edge, low + np.concatenate([[0.0], worth, [0.0]]) * rise])], "#d9d9d9")
    strokes = ((session.activity, 1.0, (3.0, 2.0)), (session.light, 1.0, (0.8, 1.4)), (worth, 1.6, ()))
    for values, stroke, dash in strokes:
        pen.line(np.column_stack([across, low + values * rise]), COLOURS["text"], stroke, dash)
    for spell in day.spells:
        a, b = (min(max(x(day.sky.at(m)), left), left + width) for m in (spell.start_min, spell.end_min))
        if b > a:
            pen.area([box(a, bottom + foot, b - a, strip - 3)], STATE_FILL[spell.state], COLOURS["text"], 0.4)
    pen.line(np.array([[x(session.anchor), low], [x(session.anchor), top]]), COLOURS["text"], 0.9, (6.0, 2.0))
    word = "sunset" if session.when == "evening" else "sunrise"
    pen.text((x(session.anchor), top + 3), f"{word} {session.anchor:%H:%M}", TINY, place="centre")
