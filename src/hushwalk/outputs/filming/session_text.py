"""The tables of a session sheet as rows of words, each with the shares of the width that its columns take.

How they are set is session_sheet.py's business.
"""

from datetime import timedelta

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle

from hushwalk.filming.series import Series
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.pen import PLAIN
from hushwalk.wording.filming_words import (
    DAY_HEAD,
    FRAMING_HEAD,
    day_cells,
    framing_cells,
    hhmm,
    iso_words,
    picture_words,
    possible_words,
    shutter_words,
)
from hushwalk.wording.log_words import side_words
from hushwalk.wording.shot_words import SERIES_HEAD, SLOT_HEAD, joined_slots, series_cells

Rows = tuple[list[list[str]], tuple[float, ...]]
TINY_STYLE = ParagraphStyle("session", fontName=PLAIN, fontSize=6.9, leading=8.4, textColor=HexColor(COLOURS["text"]))
SKY_MIN = (-150, -90, -60, -30, -15, 0, 15, 30, 60, 120, 180)


def side_rows(plan: LogPlan, most: int) -> Rows:
    """Give the best sides, criterion by criterion."""
    rows = [["", "side", "at m", "worth", "why"]]
    for number, side in enumerate(plan.sides[:most], start=1):
        why = side_words(side, known_only=True)
        rows.append([str(number), side.name, f"{side.distance_m:.0f}", f"{side.score:.2f}", why])
    return rows, (0.03, 0.05, 0.06, 0.06, 0.80)


def framing_rows(plan: LogPlan, most: int) -> Rows:
    """Give every lens from where the hide stands: the video, then the still."""
    return [list(FRAMING_HEAD), *framing_cells(plan)[: 2 * most]], (0.18, 0.07, 0.06, 0.06, 0.13, 0.09, 0.15, 0.26)


def shot_rows(plan: LogPlan, step: int) -> Rows:
    """Give the shot list by the clock, each quarter of an hour or each ``step``-th."""
    if plan.shots is None:
        return [[""]], (1.0,)
    rows = [cells for _, _, cells in joined_slots(plan.shots)]
    if step > 1:
        rows = [rows[0], *rows[1::step]]
    return [list(SLOT_HEAD), *rows], (0.06, 0.11, 0.18, 0.34, 0.23, 0.08)


def series_rows(series: Series, most: int = 99) -> Rows:
    """Give the days as a series."""
    shares = (0.10, 0.22, 0.11, 0.17, 0.08, 0.08, 0.08, 0.10, 0.06)
    return [list(SERIES_HEAD), *(series_cells(one) for one in series.days[:most])], shares


def iso_rows(report: SessionReport, plan: LogPlan) -> Rows:
    """Give the ISO of every picture by the clock."""
    if plan.best is None:
        return [[""]], (1.0,)
    times = [hhmm(moment) for moment in plan.exposure_times]
    rows = [["picture", "f/, shutter", *times, f"at ISO {report.iso_max:.0f} (bright to dark end)"]]
    for row in plan.exposure:
        shot = row.chance.shot
        setting = f"{shot.f_number:.1f}, {shutter_words(shot.shutter_s)}"
        rows.append(
            [picture_words(row), setting, *(iso_words(iso[0]) for iso in row.iso), possible_words(row, plan.best)]
        )
    rest = 1 - 0.20 - 0.11 - 0.23
    return rows, (0.20, 0.11, *[rest / len(times)] * len(times), 0.23)


def sky_rows(plan: LogPlan) -> Rows:
    """Show where sun and moon stand by the clock, and the light at the log."""
    if plan.best is None or plan.best.session is None:
        return [[""]], (1.0,)
    sky, session = plan.best.sky, plan.best.session
    steps = SKY_MIN if session.when == "morning" else tuple(-step for step in reversed(SKY_MIN))
    anchor = round((session.anchor - sky.at(0)) / timedelta(minutes=1))
    minutes = [m for m in (anchor + step for step in steps) if 0 <= m < sky.n_minutes]
    lines = {
        "time": [hhmm(sky.at(m)) for m in minutes],
        "sun azimuth": [f"{sky.sun_azimuth_deg[m]:03.0f}°" for m in minutes],
        "sun altitude": [f"{sky.sun_altitude_deg[m]:.1f}°" for m in minutes],
        "moon azimuth": [_while_up(sky.moon_azimuth_deg[m], sky.moon_altitude_deg[m]) for m in minutes],
        "moon altitude": [f"{sky.moon_altitude_deg[m]:.0f}°" for m in minutes],
        "lux at the log": [f"{float(f'{plan.best.light.middle_lux[m]:.2g}'):g}" for m in minutes],
    }
    moon = f"moon {sky.moon_lit[anchor]:.0%} lit"
    rows = [[name, *cells, moon if name == "moon azimuth" else ""] for name, cells in lines.items()]
    rest = 1 - 0.12 - 0.10
    return rows, (0.12, *[rest / len(minutes)] * len(minutes), 0.10)


def _while_up(azimuth_deg: float, altitude_deg: float) -> str:
    return f"{azimuth_deg:03.0f}°" if altitude_deg > 0 else "down"


def day_rows(plan: LogPlan, most: int) -> Rows:
    """Give the days, those most worth sitting first."""
    ranked = sorted(plan.days, key=lambda day: -day.score)[:most]
    return [list(DAY_HEAD), *(day_cells(day) for day in ranked)], (0.13, 0.11, 0.11, 0.13, 0.13, 0.13, 0.12, 0.14)
