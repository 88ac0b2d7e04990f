"""Several logs side by side in words: what each is worth and what that is made of.

How a log is weighed is logs/log_worth.py's business.
"""

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.logs.log_worth import Part
from hushwalk.wording.filming_words import day_cells, framing_words, table
from hushwalk.wording.measures import distance

COMPARE_HEAD = (
    *("log", "good min", "in use", "side", "light min", "way", "calm", "male"),
    *("sit", "lens", "walk min", "best day"),
)
COMPARE_TITLE = "Logs side by side, the one most worth sitting at first"
COMPARE_KEY = (
    "good min: minutes of display in good light to be expected of the best day, the product of in use (chance that a "
    "male displays there), side (facing, backdrop, room, light), light min (if he displays), way (walk in the dark, "
    "fords), calm (out of his sight, hide far enough, people far) and male (main log, neighbour in earshot)."
)


def compare_words(report: SessionReport) -> str:
    """Set several logs side by side: one line a log with its parts, then the worth of every log on every day."""
    lines = [COMPARE_TITLE, *table(COMPARE_HEAD, [compare_cells(plan) for plan in report.logs]), COMPARE_KEY]
    days = report.logs[0].days
    worth = [[p.name, *(f"{day.score:.2f}" if day.session else "-" for day in p.days)] for p in report.logs]
    lines += ["", "Hours of displays in good light", *table(["log", *(f"{day.day:%d %b}" for day in days)], worth)]
    return "\n".join(lines)


def compare_cells(plan: LogPlan) -> list[str]:
    """One log as cells of a table, under ``COMPARE_HEAD``."""
    parts, seat = plan.worth.parts, plan.seat
    lens = seat.video.lens if seat.video.fits else f"none: {framing_words(seat.video)}"
    known = "" if seat.room.noted or seat.room.at_m is not None else "?"
    return [
        plan.name,
        f"{plan.worth.minutes:.0f}",
        f"{parts[Part.USE]:.0%}",
        f"{parts[Part.SIDE]:.2f}",
        f"{parts[Part.MINUTES]:.0f}",
        f"{parts[Part.WAY]:.2f}",
        f"{parts[Part.CALM]:.2f}",
        f"{parts[Part.MALE]:.2f}",
        f"{seat.side.name} {distance(seat.side.distance_m)}{known}",
        lens,
        f"{plan.walk.seconds / 60:.0f}",
        "none" if plan.best is None else _day(plan.best),
    ]


def _day(day: DayAtLog) -> str:
    return day_cells(day)[0] if day.in_season else f"{day_cells(day)[0]}, out of season"


def halves_words(report: SessionReport) -> list[str]:
    """Say the best morning and the best evening of each log."""
    lines = []
    for plan in report.logs:
        found = [day for day in (plan.best, plan.other) if day is not None and day.session is not None]
        parts = [
            f"{one.when} {day.day:%a %d %b} ({one.score:.2f})" for day in found if (one := day.session) is not None
        ]
        lines.append(f"{plan.name}: best " + ", best ".join(parts) if parts else f"{plan.name}: no session")
    return lines
