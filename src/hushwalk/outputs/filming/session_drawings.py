"""The hours of a session as curves over a strip of sun and shade.

The plan view is plan_view.py's business; where they stand on the sheet is session_sheet.py's.
"""

from datetime import datetime, timedelta

import numpy as np

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.pen import Pen, box

TINY = SHEET_PT["tiny"]
STATE_FILL = {
    "sun down": "#4a4a4a",
    "ridge shade": "#9a9a9a",
    "tree shade": "#cfcfcf",
    "sun": "#ffffff",
    "full cloud": "#e2e2e2",
}


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
