"""Filming sessions in words: one log in full, several logs side by side, notices and cautions.

Sheets are drawn by outputs.
"""

import tomllib
from collections.abc import Sequence
from datetime import datetime
from functools import cache
from importlib.resources import files

import numpy as np

from hushwalk.filming.framing import Fit, Framing
from hushwalk.filming.log_light import Shot, ShotKind
from hushwalk.filming.log_places import Facing
from hushwalk.filming.session_report import DayAtLog, ExposureRow, LogPlan, SessionReport, WalkIn
from hushwalk.filming.sessions import hours_table, rest_rule, steps_of
from hushwalk.filming.skyline import Skyline
from hushwalk.filming.story import NO_LENS
from hushwalk.science.exposure import exposure_table
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.wording.formats import way_sentence
from hushwalk.wording.log_words import side_words

LEAVE_RULE = "Leave only after he has left the log, or after {minutes:.0f} minutes of silence; never within a bout."
SHOTS = {
    ShotKind.SWEPT: "wings swept into a fan",
    ShotKind.HALF_BLURRED: "wings half blurred",
    ShotKind.SLOW_FROZEN: "slow first beats frozen",
    ShotKind.ROLL_FROZEN: "final roll frozen",
}
POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
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
    spells = [
        f"{spell.state} {hhmm(day.sky.at(spell.start_min))}-{hhmm(day.sky.at(spell.end_min))}"
        for spell in day.spells
        if spell.state != "sun down" and spell.end_min - spell.start_min > 1
    ]
    return "; ".join(spells) or "the sun does not rise"


def possible_words(row: ExposureRow, day: DayAtLog) -> str:
    """Say from when a picture is possible on one day."""
    chance = row.chance
    if chance.likely_from is None:
        return "not in this light"
    sure = "-" if chance.surely_from is None else hhmm(day.sky.at(chance.surely_from))
    bright = "-" if chance.hardly_from is None else hhmm(day.sky.at(chance.hardly_from))
    return f"from {hhmm(day.sky.at(chance.likely_from))} ({bright} to {sure})"


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


def light_in_words(report: SessionReport) -> str:
    """Say which sky and which crowns are reckoned with."""
    if report.transmittance is not None:
        return f"{report.sky} sky, {report.transmittance:.0%} of the light as measured"
    return f"{report.sky} sky, {exposure_table()['canopy'][report.canopy]['label']}"


def framing_words(framing: Framing, plan: LogPlan) -> str:
    """Say whether a lens fits the room, and what the field gives way to."""
    field = f"{framing.field_m:.2f} m in the frame"
    if framing.fit is Fit.TOO_FAR:
        return f"needs {framing.distance_m:.1f} m, there is room for {plan.room.farthest_m:.1f} m: use a shorter lens"
    if framing.fit is Fit.NEAREST_FOCUS:
        return f"focuses from {framing.nearest_m:.1f} m only: {field}"
    if framing.fit is Fit.TOO_NEAR:
        return f"would stand at {framing.ideal_m:.1f} m, too near the bird: {field}, crop"
    return "fits"


@cache
def _cautions() -> dict[str, dict[str, str]]:
    text = (files("hushwalk") / "data" / "tables" / "filming_cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def caution_words(report: SessionReport) -> tuple[str, ...]:
    """Give the cautions for sitting at a log, one sentence or two each."""
    row, rest = rest_rule()
    return tuple(_cautions()[one]["words"].format(chill=report.chill_c, row=row, rest=rest) for one in report.cautions)


def notice_words(report: SessionReport, plan: LogPlan) -> tuple[str, ...]:
    """Say what a person should know before trusting the plan of a log, one sentence each."""
    lens = f"the trip file names no lens: reckoned with an {NO_LENS.name}; give yours in [[camera.lens]]"
    facing = _facing_words(plan.facing)
    return (*([facing] if facing else []), *skyline_words(plan.skyline), *([] if report.lens_named else [lens]))


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
        near = np.unique(np.round(skyline.azimuth_deg[skyline.short] / 45.0).astype(int) % 8)
        names = [POINTS[k] for k in near.tolist()]
        sides = "on all sides" if len(names) == len(POINTS) else f"towards the {', '.join(names)}"
        notices.append(
            f"the heights end {skyline.coverage_m.min() / 1000:.1f} km off {sides}: a ridge beyond is not "
            "seen, and the sun may come later than said"
        )
    if not skyline.measured:
        notices.append(
            "no skyline was measured at the log: trees nearby shade it longer than the ridges do; measure the "
            "angle to the tops every 20 degrees from east to south and give it in the trip file"
        )
    return tuple(notices)


def log_words(report: SessionReport, plan: LogPlan) -> str:
    """Describe one log in full.

    Returns
    -------
    str
        Where to sit, which lens, light, pictures, the days ranked, cautions.
    """
    lines = [f"{plan.name}: {plan.place.usng}", *_best_words(report, plan), "", "Where to sit (best first)"]
    lines += [f"  {side.name:<2} {side.score:.2f}  {side_words(side)}" for side in plan.sides]
    lines += ["", f"Framing, {plan.room.nearest_m:.0f} to {plan.room.farthest_m:.0f} m of room"]
    lines += _table(
        ["lens", "sensor", "at m", "field m", "sharp m", "bird at", ""],
        [
            [
                f.lens,
                f.sensor,
                f"{f.distance_m:.1f}",
                f"{f.field_m:.2f} x {f.field_height_m:.2f}",
                f"{f.sharp.depth_m:.2f}",
                f"f/{f.bird_f_number:.1f}",
                framing_words(f, plan),
            ]
            for f in plan.framings
        ],
    )
    lines += _exposure_words(report, plan)
    lines += ["", "Days"]
    lines += _table(DAY_HEAD, [day_cells(day) for day in plan.days])
    lines += _hour_words(plan)
    lines += ["", leave_rule(), *(f"note: {words}" for words in notice_words(report, plan)), "", "Cautions"]
    lines += [f"  {words}" for words in caution_words(report)]
    return "\n".join(lines)


DAY_HEAD = ["day", "leave car", "in hide by", "sun rise/set", "sun on log", "best hour", "hours of worth"]


def day_cells(day: DayAtLog) -> list[str]:
    """One day as cells of a table, under ``DAY_HEAD``."""
    session, span = day.session, day.sun_span()
    if session is None:
        return [f"{day.day:%a %d %b}", "-", "-", "-", "-", "-", "no session"]
    on_log = "none" if span is None else f"{hhmm(span[0])}-{hhmm(span[1])}"
    return [
        f"{day.day:%a %d %b}",
        hhmm(session.leave_car_by),
        hhmm(session.in_hide_by),
        hhmm(session.anchor),
        on_log,
        f"{hhmm(session.best[0])}-{hhmm(session.best[1])}",
        f"{session.score:.2f}",
    ]


def compare_words(report: SessionReport) -> str:
    """Set several logs side by side: one line a log with its best day, then the worth of every log on every day."""
    title = "Logs side by side, the one most worth sitting at first"
    lines = [title, *_table(COMPARE_HEAD, [compare_cells(plan) for plan in report.logs])]
    days = report.logs[0].days
    worth = [[p.name, *(f"{day.score:.2f}" if day.session else "-" for day in p.days)] for p in report.logs]
    lines += ["", "Hours of worth by day", *_table(["log", *(f"{day.day:%d %b}" for day in days)], worth)]
    return "\n".join(lines)


COMPARE_HEAD = (
    *("log", "best day", "leave car", "in hide by", "sit", "lens", "at m"),
    *("walk min", "sun on log", "hours of worth"),
)


def walk_in_sentence(walk: WalkIn) -> str:
    """Say how long the walk to a log is and what to expect on it."""
    return way_sentence(walk.length_m, walk.on_trail_share, walk.fords, walk.bridges, walk.wet_m)


def compare_cells(plan: LogPlan) -> list[str]:
    """One log as cells of a table, under ``COMPARE_HEAD``."""
    lens, day = plan.framing, plan.best
    tail = [lens.lens, f"{lens.distance_m:.0f}"] if lens else ["none fits", "-"]
    walk = f"{plan.walk.seconds / 60:.0f}"
    if day is None:
        return [plan.name, "none", "-", "-", plan.side.name, *tail, walk, "-", "-"]
    cells = day_cells(day)
    return [plan.name, cells[0], cells[1], cells[2], plan.side.name, *tail, walk, cells[4], cells[6]]


def _best_words(report: SessionReport, plan: LogPlan) -> list[str]:
    walk = f"walk in the dark {plan.walk.seconds / 60:.0f} min, {walk_in_sentence(plan.walk)}"
    if plan.best is None or plan.best.session is None:
        return ["the sun does not rise on these days: there is no session", walk]
    session = plan.best.session
    hour = f"best hour {hhmm(session.best[0])} to {hhmm(session.best[1])}"
    times = f"leave the car by {hhmm(session.leave_car_by)}, in the hide by {hhmm(session.in_hide_by)}"
    side = plan.side
    return [
        f"best day {plan.best.day:%A %d %B %Y}: {times}, {hour}",
        walk,
        f"light on the log: {light_words(plan.best)}",
        f"sit in the {side.name} at {side.distance_m:.0f} m, lens along {compass(report, side.lens_deg)}",
    ]


def _exposure_words(report: SessionReport, plan: LogPlan) -> list[str]:
    if plan.best is None:
        return []
    head = [
        "picture",
        "f/",
        "shutter",
        *(hhmm(t) for t in plan.exposure_times),
        f"possible at ISO {report.iso_max:.0f}",
    ]
    rows = [
        [
            shot_words(row.chance.shot),
            f"{row.chance.shot.f_number:.1f}",
            shutter_words(row.chance.shot.shutter_s),
            *(iso_words(middle) for middle, _, _ in row.iso),
            possible_words(row, plan.best),
        ]
        for row in plan.exposure
    ]
    title = f"ISO needed, {light_in_words(report)}; a stop and a half either way, so meter"
    return ["", title, *_table(head, rows)]


def _hour_words(plan: LogPlan) -> list[str]:
    if plan.best is None or plan.best.session is None:
        return []
    rows = [[hhmm(t), f"{a:.2f}", f"{q:.2f}", f"{w:.2f}"] for t, a, q, w in steps_of(plan.best.session)]
    return ["", f"Hours of {plan.best.day:%d %B}", *_table(["time", "bird", "light", "worth"], rows)]


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(cell) for cell in column) for column in zip(head, *rows, strict=True)]
    return ["  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in (head, *rows)]
