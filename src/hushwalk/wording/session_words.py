"""Filming sessions in words: one log in full, several logs side by side, and the cautions.

Sheets are drawn by outputs.
"""

from collections.abc import Sequence
from datetime import datetime

from hushwalk.filming.exposure import shutter_words
from hushwalk.filming.session_report import DayAtLog, ExposureRow, LogPlan, SessionReport
from hushwalk.filming.sessions import leave_rule, steps_of
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.wording.log_words import side_words

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
    """Tell when the log is in sun, in ridge shade or in tree shade on one day."""
    told = [
        f"{spell.state} {hhmm(day.sky.at(spell.start_min))}-{hhmm(day.sky.at(spell.end_min))}"
        for spell in day.spells
        if spell.state != "sun down" and spell.end_min - spell.start_min > 1
    ]
    return "; ".join(told) or "the sun does not rise"


def possible_words(row: ExposureRow, day: DayAtLog) -> str:
    """Tell from when a picture is possible on one day."""
    chance = row.chance
    if chance.likely_from is None:
        return "not in this light"
    sure = "-" if chance.surely_from is None else hhmm(day.sky.at(chance.surely_from))
    bright = "-" if chance.hardly_from is None else hhmm(day.sky.at(chance.hardly_from))
    return f"from {hhmm(day.sky.at(chance.likely_from))} ({bright} to {sure})"


def log_words(report: SessionReport, plan: LogPlan) -> str:
    """Tell one log in full.

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
                f.words,
            ]
            for f in plan.framings
        ],
    )
    lines += _exposure_words(report, plan)
    lines += ["", "Days"]
    lines += _table(DAY_HEAD, [day_cells(day) for day in plan.days])
    lines += _hour_words(plan)
    lines += ["", leave_rule(), *(f"note: {words}" for words in plan.notices), "", "Cautions"]
    lines += [f"  {words}" for words in plan.cautions]
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
    walk = f"walk in the dark {plan.walk.seconds / 60:.0f} min, {plan.walk.words}"
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
            row.chance.shot.name,
            f"{row.chance.shot.f_number:.1f}",
            shutter_words(row.chance.shot.shutter_s),
            *(iso_words(middle) for middle, _, _ in row.iso),
            possible_words(row, plan.best),
        ]
        for row in plan.exposure
    ]
    title = f"ISO needed, {report.sky} sky, {report.canopy}; a stop and a half either way, so meter"
    return ["", title, *_table(head, rows)]


def _hour_words(plan: LogPlan) -> list[str]:
    if plan.best is None or plan.best.session is None:
        return []
    rows = [[hhmm(t), f"{a:.2f}", f"{q:.2f}", f"{w:.2f}"] for t, a, q, w in steps_of(plan.best.session)]
    return ["", f"Hours of {plan.best.day:%d %B}", *_table(["time", "bird", "light", "worth"], rows)]


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(cell) for cell in column) for column in zip(head, *rows, strict=True)]
    return ["  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in (head, *rows)]
