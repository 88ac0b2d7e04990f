"""Filming sessions in words: one log in full, several logs side by side, notices and cautions.

Sheets are drawn by outputs.
"""

import math
import tomllib
from collections.abc import Sequence
from datetime import datetime
from functools import cache
from importlib.resources import files

import numpy as np

from hushwalk.filming.crowns import Crowns, CrownsFrom
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.framing import Fit, Framing, LensChoice
from hushwalk.filming.log_light import Shot, ShotKind
from hushwalk.filming.log_places import Facing
from hushwalk.filming.session_report import ExposureRow, LogPlan, SessionReport, WalkIn
from hushwalk.filming.sessions import hours_table, rest_rule
from hushwalk.filming.skyline import Skyline
from hushwalk.filming.story import NO_LENS
from hushwalk.logs.log import log_table
from hushwalk.logs.sight_line import SightLine
from hushwalk.science.exposure import exposure_table
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.wording.formats import way_sentence
from hushwalk.wording.measures import distance, height, route, spans, temperature

LEAVE_RULE = "Leave only after he has left the log, or after {minutes:.0f} minutes of silence; never within a bout."
SHOTS = {
    ShotKind.PORTRAIT: "portrait, he holds still",
    ShotKind.SWEPT: "wings swept into a fan",
    ShotKind.HALF_BLURRED: "wings half blurred",
    ShotKind.SLOW_FROZEN: "slow first beats frozen",
    ShotKind.ROLL_FROZEN: "final roll frozen",
}
LAST_WAY_M = 100.0  # judgement: what is within his sight and hearing
POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
SAME_SCORE = 0.03  # judgement: no weather is foretold so well that less tells two days apart
DOUBT = "right within a stop and a half either way, so meter"
FULL_ISO = 1_000_000.0  # judgement: beyond it there is no picture, and no figure helps


def hhmm(moment: datetime | None) -> str:
    """Write a time of day, or a dash."""
    return "-" if moment is None else f"{moment:%H:%M}"


def iso_words(iso: float) -> str:
    """Write an ISO to two figures, or a dash where there is no picture.

    Examples
    --------
    >>> iso_words(12_180.0), iso_words(2.5e6)
    ('12000', '-')
    """
    return "-" if iso > FULL_ISO else f"{float(f'{iso:.2g}'):.0f}"


def compass(report: SessionReport, true_deg: float) -> str:
    """Write an azimuth as true and as a compass shows it."""
    magnetic = float(magnetic_from_true(true_deg, report.north.declination_deg)) % 360
    return f"{round(true_deg) % 360:03d}° true, {round(magnetic) % 360:03d}° compass"


def light_words(day: DayAtLog) -> str:
    """Say when the log is in sun, in ridge shade or in tree shade on one day."""
    if day.sky.polar_day:
        lit = [spell for spell in day.spells if spell.state == "sun"]
        minutes = sum(spell.end_min - spell.start_min for spell in lit)
        return f"the sun does not set on this day; it reaches the log for {minutes / 60:.0f} h"
    spells = [
        f"{spell.state} {hhmm(day.sky.at(spell.start_min))}-{hhmm(day.sky.at(spell.end_min))}"
        for spell in day.spells
        if spell.state != "sun down" and spell.end_min - spell.start_min > 1
    ]
    return "; ".join(spells) or "the sun does not rise"


def sun_words(plan: LogPlan, day: DayAtLog) -> str:
    """Say when the sun reaches the log on one day, and beside it whether a skyline was measured."""
    span = day.sun_span()
    if span is None:
        return "none"
    if day.sky.polar_day:
        return "day and night, the sun does not set"
    early = "" if plan.skyline.measured else " at the earliest, no skyline measured"
    return f"{hhmm(span[0])} to {hhmm(span[1])}{early}"


def possible_words(row: ExposureRow, day: DayAtLog) -> str:
    """Say from when a picture is possible on one day."""
    chance = row.chance
    if chance.likely_from is None:
        return "not in this light"
    if day.session is not None and day.session.when == "evening" and chance.likely_until is not None:
        return f"until {hhmm(day.sky.at(chance.likely_until))}"
    sure = "-" if chance.surely_from is None else hhmm(day.sky.at(chance.surely_from))
    bright = "-" if chance.hardly_from is None else hhmm(day.sky.at(chance.hardly_from))
    return f"from {hhmm(day.sky.at(chance.likely_from))} ({bright} to {sure})"


def picture_words(row: ExposureRow) -> str:
    """Name the picture of a row, and the part of the bird that is exposed for."""
    return shot_words(row.chance.shot) if row.part is None else f"video, by his {row.part}"


def leave_rule() -> str:
    """Say when the hide may be left."""
    return LEAVE_RULE.format(minutes=hours_table()["session"]["quiet_min"])


def shutter_words(shutter_s: float) -> str:
    """Write a shutter time as people do, to two figures.

    Examples
    --------
    >>> shutter_words(1 / 2368), shutter_words(0.5), shutter_words(2)
    ('1/2400', '1/2', '2 s')
    """
    if shutter_s > 0.6:  # noqa: PLR2004 - cameras write whole seconds from about here
        return f"{shutter_s:.2g} s"
    return f"1/{float(f'{1 / shutter_s:.2g}'):.0f}"


def shot_words(shot: Shot) -> str:
    """Name a picture; the shutter of video is open half of each frame."""
    return SHOTS.get(shot.kind) or f"video, {1 / (2 * shot.shutter_s):g} frames a second"


def light_in_words(report: SessionReport, plan: LogPlan) -> str:
    """Say which sky and which crowns are reckoned with."""
    sky = (plan.best.expected.sky if plan.best else None) or report.sky
    return f"{sky} sky, {crowns_words(plan.crowns)}"


def crowns_words(crowns: Crowns) -> str:
    """Say what the crowns over a log let through, and how that is known."""
    through = f"{crowns.share:.0%} of the light comes through the crowns"
    if crowns.known_from is CrownsFrom.MEASURED:
        return f"{through} as measured"
    if crowns.known_from is CrownsFrom.TYPED:
        return f"{exposure_table()['canopy'][crowns.typed]['label']}, {through}"
    leaves = "bare" if crowns.leaf < 0.05 else f"leaves {crowns.leaf:.0%} out"  # noqa: PLR2004 - nobody sees fewer
    trees = f"crowns cover {crowns.cover:.0%}, {leaves}, {crowns.conifer:.0%} conifers"
    known = {CrownsFrom.LAYERS: "from the layers", CrownsFrom.COVER: "from the kind of cover"}
    return f"{trees}, {known.get(crowns.known_from, 'assumed, no layer says')}: {through}"


def framing_words(framing: Framing) -> str:
    """Say what a lens shows where the hide stands, and what the picture gives way to."""
    if framing.fit is Fit.CUT:
        return f"cuts the bird: it would need {height(framing.ideal_m, 1)}"
    if framing.fit is Fit.OUT_OF_FOCUS:
        return f"focuses from {height(framing.nearest_m, 1)} only"
    if framing.fit is Fit.TIGHT:
        return "a little tight, the spread wings still fit"
    if framing.fit is Fit.NEAREST_FOCUS:
        return f"wide, for it focuses from {height(framing.nearest_m, 1)} only: crop"
    return "wide: crop" if framing.fit is Fit.WIDE else "fits"


def whole_bird_words(framing: Framing) -> str:
    """Say which aperture keeps the whole bird sharp."""
    if framing.f_number >= framing.bird_f_number:
        return f"f/{framing.f_number:.1f}, wide open"
    return f"f/{framing.bird_f_number:.1f}"


def room_words(plan: LogPlan) -> str:
    """Say how much room there is for a hide on the best side."""
    room = plan.room
    if room.at_m is not None:
        return f"the hide stands at {distance(room.at_m)}"
    if room.noted:
        return f"room from {spans(room.nearest_m, room.farthest_m)}"
    return f"never nearer than {distance(room.nearest_m)}; nobody noted how far back there is room"


def sight_words(sight: SightLine) -> str:
    """Say how high the lens stands, and whether it sees the log over the ground between."""
    lens = f"Lens {height(sight.lens_m, 1)} above the ground, {'as noted' if sight.noted else 'assumed'}"
    small = (
        f"humps smaller than {distance(sight.cell_m)} and growth are not in them: lie down behind the tripod and look"
    )
    if sight.least_m is None:
        return f"{lens}; no heights between hide and log: lie down behind the tripod and look."
    if sight.hidden:
        high = math.ceil(sight.least_m * 10) / 10  # never said lower than it must be
        return (
            f"{lens}: by the heights the ground {distance(sight.hump_m)} in front of it hides the log; it takes "
            f"{height(high, 1)}, or another side ({small})."
        )
    return f"{lens}: by the heights it sees the log over the ground between ({small})."


@cache
def _cautions() -> dict[str, dict[str, str]]:
    text = (files("hushwalk") / "data" / "tables" / "filming_cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def caution_words(report: SessionReport) -> tuple[str, ...]:
    """Give the cautions for sitting at a log, one sentence or two each."""
    row, rest = rest_rule()
    chill, last = temperature(report.chill_c), distance(LAST_WAY_M)
    return tuple(
        _cautions()[one]["words"].format(chill=chill, row=row, rest=rest, last=last) for one in report.cautions
    )


def notice_words(report: SessionReport, plan: LogPlan) -> tuple[str, ...]:
    """Say what a person should know before trusting the plan of a log, one sentence each."""
    lens = f"the trip file names no lens: reckoned with an {NO_LENS.name}; give yours in [[camera.lens]]"
    facing = _facing_words(plan.facing)
    notices = [facing] if facing else []
    if not plan.seat.possible:
        notices.append(
            "no side was noted where a hide can stand and a lens shows the whole bird: look on the spot before you plan"
        )
    if abs(plan.side.tilt_deg) > log_table()["hide"]["level_deg"]:
        way = "higher" if plan.side.raise_m > 0 else "lower"
        by = f"{height(abs(plan.side.raise_m), 1)} {way}"
        notices.append(f"set the lens {by} to be level with him, or sit on another side")
    session = plan.best.session if plan.best else None
    if session is not None and session.cut_short and not report.evening:
        notices.append(f"back_by in the trip file ends the session at {hhmm(session.until)}, before its hours do")
    return (*notices, *skyline_words(plan.skyline), *([] if report.lens_named else [lens]))


def _facing_words(facing: Facing) -> str:
    if facing is Facing.KNOWN:
        return ""
    if facing is Facing.UNKNOWN:
        return "where he faces is not known: look on which side of the log the droppings lie; he faces the other way"
    return (
        f"droppings lie {facing}: he may face both ways across the log; give facing_deg for it in the "
        "trip file, such as [80, 260], to have the sides judged by it"
    )


def skyline_words(skyline: Skyline) -> tuple[str, ...]:
    """Say how far the heights reach, and whether trees were measured."""
    notices = []
    if skyline.short.any():
        notices.append(
            f"the heights end {_ends(skyline)}: a ridge beyond is not seen, and the sun may come later than said"
        )
    if not skyline.measured:
        notices.append(
            "no skyline was measured at the log: trees nearby shade it longer than the ridges do; measure the "
            "angle to the tops every 20 degrees where the sun goes, and note it as the log's skyline"
        )
    return tuple(notices)


def _ends(skyline: Skyline) -> str:
    """Say towards which points of the compass the heights end, and how far off in each."""
    near = np.round(skyline.azimuth_deg / 45.0).astype(int) % 8
    ends = {
        point: float(skyline.coverage_m[(near == k) & skyline.short].min()) / 1000
        for k, point in enumerate(POINTS)
        if ((near == k) & skyline.short).any()
    }
    close, far = min(ends, key=lambda point: ends[point]), max(ends, key=lambda point: ends[point])
    if f"{ends[close]:.1f}" == f"{ends[far]:.1f}":
        return f"{route(1000 * ends[close])} off towards the {', '.join(ends)}"
    return f"{route(1000 * ends[close])} off towards the {close}, {route(1000 * ends[far])} towards the {far}"


FRAMING_HEAD = ["lens", "picture", "mm", "f/", "field", "sharp", "whole bird", ""]


def framing_cells(plan: LogPlan) -> list[list[str]]:
    """Give every lens from where the hide stands, as cells under ``FRAMING_HEAD``: the video, then the still."""
    return [_framing_row(choice, still=still) for choice in plan.seat.choices for still in (False, True)]


def _framing_row(choice: LensChoice, *, still: bool) -> list[str]:
    f = choice.still if still else choice.video
    return [
        "" if still else f.lens,
        "still" if still else "video",
        f"{f.focal_mm:.0f}",
        f"{f.f_number:.1f}",
        f"{height(f.field_m, 2)} x {height(f.field_height_m, 2)}",
        height(f.sharp.depth_m, 2),
        whole_bird_words(f),
        framing_words(f),
    ]


DAY_HEAD = ["day", "leave car", "in hide by", "sun rise/set", "sun on log", "best hour", "back at car", "good hours"]


def day_cells(day: DayAtLog) -> list[str]:
    """One day as cells of a table, under ``DAY_HEAD``."""
    session, span = day.session, day.sun_span()
    if session is None:
        why = "the sun does not set" if day.sky.polar_day else "no session"
        return [f"{day.day:%a %d %b}", "-", "-", "-", "-", "-", "-", why]
    on_log = "none" if span is None else f"{hhmm(span[0])}-{hhmm(span[1])}"
    return [
        f"{day.day:%a %d %b}",
        hhmm(session.leave_car_by),
        hhmm(session.in_hide_by),
        hhmm(session.anchor),
        on_log,
        f"{hhmm(session.best[0])}-{hhmm(session.best[1])}",
        hhmm(session.back_at),
        f"{session.score:.2f}" if day.in_season else f"{session.score:.2f}, out of season",
    ]


def walk_in_sentence(walk: WalkIn) -> str:
    """Say how long the walk to a log is and what to expect on it."""
    return way_sentence(walk.length_m, walk.on_trail_share, walk.fords, walk.bridges, walk.wet_m)


def walk_words(plan: LogPlan, *, evening: bool) -> str:
    """Say how long the walk is there and back, and which part is in the dark."""
    walk = plan.walk
    there, back = (walk.day_s, walk.back_dark_s) if evening else (walk.seconds, walk.back_s)
    ways = ("by daylight", "in the dark, lamps needed") if evening else ("in the dark", "by daylight")
    way = walk_in_sentence(walk)
    return f"Walk in {there / 60:.0f} min {ways[0]}, back {back / 60:.0f} min {ways[1]}: {way}"


def day_title(plan: LogPlan) -> str:
    """Name the day that is planned: the best one, or one out of season."""
    if plan.best is None:
        sets = plan.days[0].sky.polar_day
        return "no session: the sun does not " + ("set on these days" if sets else "rise on these days")
    day = f"{plan.best.day:%A %d %B %Y}"
    if not plan.best.in_season:
        return f"{day}, out of season: hardly any male displays"
    alike = sum(abs(one.score - plan.best.score) < SAME_SCORE * plan.best.score for one in plan.days)
    return f"best day {day}" + (f", {alike - 1} more alike" if alike > 1 else "")


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Set rows under a head, in columns of spaces."""
    widths = [max(len(cell) for cell in column) for column in zip(head, *rows, strict=True)]
    return ["  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in (head, *rows)]
