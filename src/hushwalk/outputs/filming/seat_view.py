"""What is seen from the camera's seat: the skyline, the sun's path with times, the frame, and the bird in it to scale.

The plan view from above is plan_view.py's business.
"""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.framing import camera_table
from hushwalk.filming.session_report import LogPlan
from hushwalk.logs.sectors import opposite
from hushwalk.outputs.kit.labels import Box, free_places
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.pen import Pen, box
from hushwalk.types import FloatArray
from hushwalk.wording.measures import distance, height

TINY = SHEET_PT["tiny"]
TEXT, QUIET, PAPER, LINE = COLOURS["text"], COLOURS["quiet"], COLOURS["paper"], COLOURS["line"]
HALF_DEG, LOW_DEG, HIGH_DEG = 180.0, -8.0, 38.0
TARGET_PT = 3.0  # judgement: a smaller mark is not seen
RIDGE, TREES = "#b9b9b9", "#dedede"
NO_LINE = np.zeros((0, 2))
GAP = 8.0


@dataclass(frozen=True)
class _Sight:
    """A part of the sky on the page: where it looks, its lower left corner and size [pt]."""

    middle_deg: float
    left: float
    bottom: float
    width: float
    height: float

    def x(self, azimuth_deg: FloatArray) -> FloatArray:
        off = (np.asarray(azimuth_deg) - self.middle_deg + 180) % 360 - 180
        return np.asarray(self.left + (off + HALF_DEG) / (2 * HALF_DEG) * self.width)

    def y(self, altitude_deg: FloatArray) -> FloatArray:
        return np.asarray(self.bottom + (np.asarray(altitude_deg) - LOW_DEG) / (HIGH_DEG - LOW_DEG) * self.height)

    @property
    def frame(self) -> Box:
        return self.left, self.bottom, self.left + self.width, self.bottom + self.height


def draw_seat_view(pen: Pen, plan: LogPlan, corner: tuple[float, float], size: tuple[float, float]) -> None:
    """Draw the wide view from the seat, and next to it the frame with the bird to scale.

    Parameters
    ----------
    pen : draws on the page.
    plan : of the log.
    corner : lower left, of both together [pt].
    size : width and height of both together [pt].
    """
    (left, bottom), (width, height) = corner, size
    frame_width = min(0.36 * width, height * 16 / 9)
    draw_all_round(pen, plan, corner, (width - frame_width - GAP, height))
    draw_frame(pen, plan, (left + width - frame_width, bottom), (frame_width, height))


def draw_all_round(pen: Pen, plan: LogPlan, corner: tuple[float, float], size: tuple[float, float]) -> None:
    """Draw the skyline all round the seat with the sun's path; the lens looks at the middle.

    Parameters
    ----------
    pen : draws on the page.
    plan : of the log.
    corner : lower left, labels included [pt].
    size : width and height, labels included [pt].
    """
    sight = _Sight(plan.side.lens_deg, corner[0], corner[1] + 10, size[0], size[1] - 20)
    outline = [box(sight.left, sight.bottom, sight.width, sight.height)]
    pen.area(outline, PAPER, None)
    with pen.inside(sight.left, sight.bottom, sight.width, sight.height):
        _skyline(pen, plan, sight)
    taken = [_target(pen, plan, sight)]
    if plan.best is not None:
        _sun_path(pen, plan.best, sight, taken)
    pen.area(outline, None, TEXT, 0.8)
    for off, words in ((-135, ""), (-90, "left"), (-45, ""), (0, "lens"), (45, ""), (90, "right"), (135, "")):
        x = sight.left + (off + HALF_DEG) / (2 * HALF_DEG) * sight.width
        pen.line(np.array([[x, sight.bottom], [x, sight.bottom - 3]]), TEXT, 0.6)
        label = f"{words} {(sight.middle_deg + off) % 360:03.0f}°".strip()
        pen.text((x, sight.bottom - 9), label if words else "", TINY, place="centre")
    for altitude in (10, 20, 30):
        y = float(sight.y(np.array(float(altitude))))
        pen.line(np.array([[sight.left, y], [sight.left + 3, y]]), TEXT, 0.6)
        pen.text((sight.left + 5, y - 2), f"{altitude}°", TINY, colour=QUIET)
    title = "all round from the seat, behind you at both ends"
    title += "" if plan.skyline.measured else "; trees not measured"
    type_pt = min(TINY, TINY * sight.width / pen.width(title, TINY))
    pen.text((sight.left, sight.bottom + sight.height + 3), title, type_pt)


def _skyline(pen: Pen, plan: LogPlan, sight: _Sight) -> None:
    azimuth = sight.middle_deg + np.linspace(-HALF_DEG, HALF_DEG, 361)
    x = sight.left + np.linspace(0.0, sight.width, 361)
    ends = [[x[-1], sight.bottom], [x[0], sight.bottom]]
    for heights, fill in (
        (np.maximum(plan.skyline.trees_at(azimuth), plan.skyline.terrain_at(azimuth)), TREES),
        (plan.skyline.terrain_at(azimuth), RIDGE),
    ):
        line = np.column_stack([x, np.clip(sight.y(heights), sight.bottom, sight.bottom + sight.height)])
        pen.area([np.vstack([line, ends])], fill, QUIET, 0.5)
    level = float(sight.y(np.array(0.0)))
    pen.line(np.array([[x[0], level], [x[-1], level]]), QUIET, 0.4, (2.0, 2.0))


def _target(pen: Pen, plan: LogPlan, sight: _Sight) -> Box:
    """Mark the frame in its true size, and where the bird stands in it."""
    video = plan.seat.video
    half_x = np.degrees(np.arctan2(video.field_m / 2, video.distance_m)) / (2 * HALF_DEG) * sight.width
    half_y = np.degrees(np.arctan2(video.field_height_m / 2, video.distance_m)) / (HIGH_DEG - LOW_DEG) * sight.height
    half_x, half_y = max(float(half_x), TARGET_PT), max(float(half_y), TARGET_PT)
    x, y = sight.left + sight.width / 2, float(sight.y(np.array(-plan.side.tilt_deg)))
    y = min(max(y, sight.bottom + half_y), sight.bottom + sight.height - half_y)
    pen.area([box(x - half_x, y - half_y, 2 * half_x, 2 * half_y)], PAPER, TEXT, 1.2)
    return x - half_x - 2, y - half_y - 2, x + half_x + 2, y + half_y + 2


def _sun_path(pen: Pen, day: DayAtLog, sight: _Sight, taken: list[Box]) -> None:
    if day.session is None:
        return
    first, last = int(day.session.minutes[0]), min(int(day.session.minutes[-1]) + 1, day.sky.n_minutes - 1)
    minutes = np.arange(first, last)
    off = (day.sky.sun_azimuth_deg[minutes] - sight.middle_deg + 180) % 360 - 180
    height = day.sky.sun_altitude_deg[minutes]
    seen = (np.abs(off) < HALF_DEG - 1) & (height > LOW_DEG) & (height < HIGH_DEG - 1)
    path = np.column_stack([sight.x(day.sky.sun_azimuth_deg[minutes]), sight.y(height)])
    shown = np.flatnonzero(seen)
    if shown.size == 0:
        return
    for part in np.split(shown, np.flatnonzero((np.diff(shown) > 1) | (np.abs(np.diff(off[shown])) > HALF_DEG)) + 1):
        pen.line(path[part], TEXT, 1.0, (3.0, 1.5))
    moment = day.sky.at(first).replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    marks: list[tuple[FloatArray, str]] = []
    while moment < day.sky.at(last):
        k = round((moment - day.sky.at(first)) / timedelta(minutes=1))
        if 0 <= k < len(seen) and seen[k]:
            marks.append((path[k], f"{moment:%H:%M}"))
        moment += timedelta(minutes=30)
    for at, _ in marks:
        pen.circle(at, 2.6, COLOURS["stop"], TEXT, 0.8)
    words_size = (pen.width("00:00", TINY) + 1, TINY)
    places = free_places([at for at, _ in marks], words_size, 4.0, taken, sight.frame, NO_LINE)
    for (_, words), place in zip(marks, places, strict=True):
        if place is not None:
            pen.text((place[0], place[1] + 1), words, TINY, cleared=True)


def draw_frame(pen: Pen, plan: LogPlan, corner: tuple[float, float], size: tuple[float, float]) -> None:
    """Draw the 16:9 frame with log and bird to scale.

    Parameters
    ----------
    pen : draws on the page.
    plan : of the log.
    corner : lower left, labels included [pt].
    size : width and height, labels included [pt].
    """
    video, bird = plan.seat.video, camera_table()["bird"]
    left, width = corner[0], size[0]
    scale = width / video.field_m
    high = video.field_height_m * scale
    bottom = corner[1] + (size[1] - high) / 2
    pen.area([box(left, bottom, width, high)], PAPER, None)
    foot = bottom + high / 2 - bird["height_m"] / 2 * scale
    middle = left + width / 2
    with pen.inside(left, bottom, width, high):
        pen.area([box(left, foot - 0.3 * scale, width, 0.3 * scale)], TREES, QUIET, 0.6)
        pen.area([_bird(middle, foot, scale)], "#8a8a8a", TEXT, 0.8)
        half = bird["span_m"] / 2 * scale
        wing = np.array([[middle - half, foot + 0.22 * scale], [middle + half, foot + 0.22 * scale]])
        pen.line(wing, TEXT, 0.7, (2.0, 1.5))
    pen.area([box(left, bottom, width, high)], None, TEXT, 1.2)
    shown = f"{height(video.field_m, 2)} x {height(video.field_height_m, 2)}"
    words = f"{video.lens}: {shown} at {distance(video.distance_m)}"
    type_pt = min(TINY, TINY * width / pen.width(words, TINY))
    pen.text((left, bottom + high + 3), words, type_pt)
    behind = plan.log.backdrop_m.get(opposite(plan.side.name))
    words = "backdrop not noted" if behind is None else f"backdrop {distance(behind)} behind the log"
    pen.text((left, bottom - 8), words, TINY)


def _bird(x: float, foot: float, scale: float) -> FloatArray:
    """Outline of a bird that stands upright, 0.35 m high, seen from the side."""
    outline = np.array(
        [
            (-0.01, 0.0), (0.05, 0.01), (0.09, 0.05), (0.115, 0.12), (0.11, 0.19), (0.085, 0.24), (0.095, 0.275),
            (0.125, 0.29), (0.095, 0.315), (0.08, 0.35), (0.055, 0.325), (0.035, 0.29), (0.02, 0.24), (-0.03, 0.20),
            (-0.07, 0.18), (-0.13, 0.24), (-0.19, 0.22), (-0.22, 0.16), (-0.215, 0.10), (-0.19, 0.05), (-0.11, 0.06),
            (-0.06, 0.03),
        ]
    )  # fmt: skip
    return np.asarray(outline * scale + np.array([x, foot]))
