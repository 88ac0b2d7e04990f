"""The session page: for the hide, red from the first pixel; three times and the present setting on top.

The sheet for paper is session_sheet.py's business; tables and drawings are shared with it.
"""

from collections.abc import Sequence
from html import escape

from hushwalk.filming.series import Series
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.outputs.filming.plan_view import draw_plan_view, view_of
from hushwalk.outputs.filming.seat_view import draw_all_round, draw_frame
from hushwalk.outputs.filming.session_drawings import draw_hours
from hushwalk.outputs.filming.session_text import (
    day_rows,
    framing_rows,
    iso_rows,
    series_rows,
    side_rows,
    sky_rows,
)
from hushwalk.outputs.kit.content_security_policy import security_policy
from hushwalk.outputs.kit.svg_pen import SvgPen
from hushwalk.outputs.walk.walk_page import RED_BUTTON, asset
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.field_card_words import card_lines
from hushwalk.wording.filming_words import (
    DOUBT,
    caution_words,
    compass,
    day_title,
    hhmm,
    leave_rule,
    light_in_words,
    light_words,
    notice_words,
    room_words,
    sight_words,
    sun_words,
    walk_words,
)
from hushwalk.wording.formats import north_sentence
from hushwalk.wording.log_choice_words import COMPARE_HEAD, COMPARE_KEY, COMPARE_TITLE, compare_cells
from hushwalk.wording.measures import distance
from hushwalk.wording.shot_words import (
    SLOT_HEAD,
    SLOT_TITLE,
    TOO_DARK,
    changes,
    joined_slots,
    series_notes,
    slot_cells,
    stay_words,
)

ALL = 99
VIEW_PT, ROUND_PT, FRAME_PT, HOURS_PT = 260.0, (260.0, 160.0), (190.0, 128.0), (300.0, 120.0)


def session_page(report: SessionReport, series: Series) -> str:
    """Write the page.

    Parameters
    ----------
    report : the sessions.
    series : the days as a series.

    Returns
    -------
    str
        HTML 5 with one script that a hash allows; nothing is fetched from anywhere.
    """
    title = f"{escape(report.title)}: filming sessions"
    script, light = asset("session.js"), asset("red_light.js")
    parts = [
        f"{RED_BUTTON}<h1>{title}</h1>",
        *(_log(report, plan, number) for number, plan in enumerate(report.logs)),
    ]
    if len(report.logs) > 1:
        rows = [list(COMPARE_HEAD), *(compare_cells(plan) for plan in report.logs)]
        parts += [_table(COMPARE_TITLE, rows), _paragraphs([COMPARE_KEY])]
    parts += [_table("Days as a series", series_rows(series)[0]), _paragraphs(series_notes(series))]
    parts += ["<h2>To carry</h2>", _list(card_lines(report)), _paragraphs([north_sentence(report.north)])]
    parts.append(_paragraphs([f"{line}." for line in credit_sentences(report.credits)]))
    return (
        '<!doctype html>\n<html lang="en" class="dark" data-light="hushwalk-session-light"><head><meta charset="utf-8">'
        f"{security_policy([light, script])}"
        '<meta name="viewport" content="width=device-width,initial-scale=1"><meta name="color-scheme" content="dark">'
        f'<title>{title}</title><link rel="icon" href="data:,">'
        f"<style>{asset('page.css')}{asset('session.css')}</style><script>{light}</script></head>\n"
        f"<body>{''.join(parts)}<script>{script}</script></body></html>\n"
    )


def _log(report: SessionReport, plan: LogPlan, number: int) -> str:
    side, best = plan.side, plan.best
    sit = f"Sit in the {side.name} at {distance(side.distance_m)}, lens along {compass(report, side.lens_deg)}."
    parts = [f"<h2>{escape(plan.name)}</h2>", f"<p><b>{escape(day_title(plan))}</b></p>", _top(plan, number)]
    parts.append(_paragraphs([sit, sight_words(plan.sight)]))
    if plan.shots is not None and best is not None:
        parts.append(_shots(plan, number))
        lines = [f"{hhmm(moment)} {words}." for moment, words in changes(plan.shots)]
        parts.append(_list([*lines, *stay_words(plan.shots), leave_rule()]))
    lines = [plan.place.usng, walk_words(plan, evening=report.evening)]
    if best is not None:
        lines.append(f"Sun on the log: {sun_words(plan, best)}. {light_words(best)}.")
    views = "".join(f"<figure>{one}</figure>" for one in log_views(report, plan))
    parts += [_paragraphs(lines), f'<div class="views">{views}</div>']
    parts += [_table("Where to sit, best first", side_rows(plan, ALL)[0])]
    parts.append(_table(f"Lenses from there, {room_words(plan)}", framing_rows(plan, ALL)[0]))
    if best is not None:
        title = f"ISO needed on his side towards you: {light_in_words(report, plan)}; {DOUBT}"
        parts.append(_table(title, iso_rows(report, plan)[0], cards=False))
        parts.append(_table("Sun and moon at the log", sky_rows(plan)[0], cards=False))
    parts.append(_table("Days, the best first", day_rows(plan, ALL)[0]))
    parts.append(_list([*notice_words(report, plan), *caution_words(report)]))
    return "".join(parts)


def _top(plan: LogPlan, number: int) -> str:
    """Give the three times, and the setting that is changed by the clock."""
    if plan.best is None or plan.best.session is None:
        return ""
    session = plan.best.session
    cells = (
        ("leave the car by", hhmm(session.leave_car_by)),
        ("in the hide by", hhmm(session.in_hide_by)),
        ("out of the hide by", hhmm(session.until)),
    )
    three = "".join(f"<li><span>{what}</span><b>{when}</b></li>" for what, when in cells)
    first = next((slot for slot in plan.shots.slots if not slot.sound_only), None) if plan.shots else None
    words = ["-", "-", "no picture in this light", ""] if first is None else slot_cells(first)
    shown = " · ".join(escape(cell) for cell in words[2:4] if cell not in {"", TOO_DARK})
    now = f"<span>first picture, from {words[0]}</span><b>{shown}</b>"
    return f'<ul class="three">{three}</ul><div class="now" id="now{number}">{now}</div>'


def _shots(plan: LogPlan, number: int) -> str:
    assert plan.shots is not None  # noqa: S101 - asked by _log
    rows = joined_slots(plan.shots)
    marks = [
        f' data-start="{start.isoformat()}" data-end="{end.isoformat()}" data-box="now{number}"'
        for start, end, _ in rows
    ]
    return _table(SLOT_TITLE, [SLOT_HEAD, *(cells for _, _, cells in rows)], marks)


def log_views(report: SessionReport, plan: LogPlan) -> tuple[str, ...]:
    """Draw a log as a film set: from above, all round from the seat, the frame, the hours; each one SVG element."""
    above = SvgPen(VIEW_PT, VIEW_PT)
    draw_plan_view(above, report, plan, view_of(plan, 1.0, 1.0, VIEW_PT - 2))
    seat, frame = SvgPen(*ROUND_PT), SvgPen(*FRAME_PT)
    draw_all_round(seat, plan, (1.0, 1.0), (ROUND_PT[0] - 2, ROUND_PT[1] - 2))
    draw_frame(frame, plan, (1.0, 1.0), (FRAME_PT[0] - 2, FRAME_PT[1] - 2))
    hours = SvgPen(*HOURS_PT)
    if plan.best is not None:
        draw_hours(hours, plan.best, 4.0, 2.0, HOURS_PT[0] - 8, HOURS_PT[1] - 4)
    return (
        above.svg(f"plan view of {plan.name}, true north up"),
        seat.svg(f"all round from the seat at {plan.name}: skyline and sun"),
        frame.svg("the frame with log and bird to scale"),
        hours.svg("hours: activity of the bird dashed, light dotted, worth grey"),
    )


def _paragraphs(lines: Sequence[str]) -> str:
    return "".join(f"<p>{escape(line)}</p>" for line in lines)


def _list(lines: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def _table(title: str, rows: Sequence[Sequence[str]], marks: Sequence[str] = (), *, cards: bool = True) -> str:
    """Set rows as a table; on a phone each row of ``cards`` stands by itself, other tables are pushed sideways."""
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in rows[0])
    names = [f' data-name="{escape(cell)}"' if cell else "" for cell in rows[0]]
    body = "".join(
        f"<tr{marks[k] if marks else ''}>"
        + "".join(f"<td{name}>{escape(cell)}</td>" for name, cell in zip(names, row, strict=True))
        + "</tr>"
        for k, row in enumerate(rows[1:])
    )
    named, kind = escape(title), ' class="cards"' if cards else ""
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="{named}"><table{kind}><caption>{named}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
