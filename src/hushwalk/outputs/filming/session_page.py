"""The session page: every log on one web page that needs no network, with a plan view in vectors.

The sheet for paper is session_sheet.py's business; the rows of its tables are shared.
"""

from collections.abc import Iterable, Sequence
from html import escape

import numpy as np

from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.outputs.filming.session_drawings import free_way
from hushwalk.outputs.filming.session_text import day_rows, framing_rows, iso_rows, side_rows, sky_rows
from hushwalk.outputs.walk.walk_page import asset
from hushwalk.wording.filming_words import (
    COMPARE_HEAD,
    caution_words,
    compare_cells,
    compass,
    hhmm,
    leave_rule,
    light_in_words,
    light_words,
    notice_words,
    walk_in_sentence,
)
from hushwalk.wording.formats import north_sentence

ALL = 99
VIEW_PX = 340.0
STYLE = """
body { max-width: 70rem; margin: 0 auto; padding: 12px 16px 32px; }
h2 { border-top: 2px solid var(--text); padding-top: 10px; }
.times { margin-bottom: 12px; }
.scroll { margin: 4px 0 20px; }
caption { text-align: left; font-weight: 700; padding-bottom: 4px; }
svg { border: 1px solid var(--text); max-width: 100%; height: auto; }
"""


def session_page(report: SessionReport) -> str:
    """Write the page.

    Parameters
    ----------
    report : the sessions.

    Returns
    -------
    str
        HTML 5 without scripts; nothing is fetched from anywhere.
    """
    parts = [f"<h1>{escape(report.title)}: filming sessions</h1>", f"<p>{escape(north_sentence(report.north))}</p>"]
    if len(report.logs) > 1:
        rows = [list(COMPARE_HEAD), *(compare_cells(plan) for plan in report.logs)]
        parts.append(_table("Logs side by side, the one most worth sitting at first", rows))
    parts += [_log(report, plan) for plan in report.logs]
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(report.title)}: filming sessions</title><style>{asset('page.css')}{STYLE}</style></head>\n"
        f"<body>{''.join(parts)}</body></html>\n"
    )


def _log(report: SessionReport, plan: LogPlan) -> str:
    parts = [f"<h2>{escape(plan.name)}</h2>", f"<p>{escape(plan.place.usng)}</p>", _times(plan)]
    side = plan.side
    lines = [
        f"Sit in the {side.name} at {side.distance_m:.0f} m, lens along {compass(report, side.lens_deg)}.",
        f"Walk in the dark {plan.walk.seconds / 60:.0f} min: {walk_in_sentence(plan.walk)}",
        *([f"Log in {light_words(plan.best)}."] if plan.best else []),
        leave_rule(),
    ]
    parts += [_paragraphs(lines), _plan_view(plan), _table("Where to sit, best first", side_rows(plan, ALL)[0])]
    parts.append(_table("Framing", framing_rows(plan, ALL)[0]))
    if plan.best is not None:
        title = f"ISO needed: {light_in_words(report)}; a stop and a half either way, so meter"
        parts.append(_table(title, iso_rows(report, plan)[0]))
        parts.append(_table("Sun and moon at the log", sky_rows(plan)[0]))
    parts.append(_table("Days, those most worth sitting first", day_rows(plan, ALL)[0]))
    parts.append(
        "<ul>"
        + "".join(f"<li>{escape(words)}</li>" for words in (*caution_words(report), *notice_words(report, plan)))
        + "</ul>"
    )
    return "".join(parts)


def _times(plan: LogPlan) -> str:
    if plan.best is None or plan.best.session is None:
        return "<p><b>The sun does not rise on these days: there is no session.</b></p>"
    session = plan.best.session
    cells = (
        ("day", f"{plan.best.day:%a %d %b}"),
        ("leave the car by", hhmm(session.leave_car_by)),
        ("in the hide by", hhmm(session.in_hide_by)),
        ("sunset" if session.when == "evening" else "sunrise", hhmm(session.anchor)),
        ("best hour", f"{hhmm(session.best[0])} to {hhmm(session.best[1])}"),
    )
    lines = "".join(f"<li><span>{what}</span><b>{escape(when)}</b></li>" for what, when in cells)
    return f'<ul class="times">{lines}</ul>'


def _paragraphs(lines: Iterable[str]) -> str:
    return "".join(f"<p>{escape(line)}</p>" for line in lines)


def _table(title: str, rows: Sequence[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in rows[0])
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows[1:])
    named = escape(title)
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="{named}"><table><caption>{named}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _plan_view(plan: LogPlan) -> str:
    """Draw log, bird and hides to scale, true north up."""
    half = VIEW_PX / 2
    per_m = (half - 16) / max(side.distance_m for side in plan.sides[:3])

    def at(azimuth_deg: float, metres: float) -> tuple[float, float]:
        angle = np.radians(azimuth_deg)
        return half + metres * per_m * float(np.sin(angle)), half - metres * per_m * float(np.cos(angle))

    free = free_way(plan)
    shapes = [_ring(half, metres, metres * per_m, at(free, metres)) for metres in (5, 10, 15, 20)]
    (x1, y1), (x2, y2) = at(plan.side.azimuth_deg, plan.side.distance_m), at(plan.side.lens_deg, 5.0)
    shapes.append(_line((x1, y1), (x2, y2), 'stroke-dasharray="6 3"'))
    shapes += [_line((half, half), at(facing, 2.2), 'stroke-width="3"') for facing in plan.facing_deg]
    shapes.append(f'<circle cx="{half}" cy="{half}" r="5" fill="#16181d"/>')
    for number, side in reversed(list(enumerate(plan.sides[:3], start=1))):
        shapes.append(_hide(number, *at(side.azimuth_deg, side.distance_m)))
    label = f"plan view of {plan.name}, true north up, rings every 5 m"
    size = f"{VIEW_PX:.0f}"
    return f'<svg role="img" aria-label="{escape(label)}" width="{size}" height="{size}">{"".join(shapes)}</svg>'


def _line(start: tuple[float, float], end: tuple[float, float], how: str) -> str:
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="#16181d" {how}/>'


def _ring(half: float, metres: int, radius: float, at: tuple[float, float]) -> str:
    ring = f'<circle cx="{half}" cy="{half}" r="{radius:.1f}" fill="none" stroke="#565b66" stroke-dasharray="2 3"/>'
    if radius > half:
        return ring
    x, y = at
    clear = 'text-anchor="middle" paint-order="stroke" stroke="#fff" stroke-width="5"'
    return ring + f'<text x="{x:.1f}" y="{y + 4:.1f}" font-size="12" {clear}>{metres} m</text>'


def _hide(number: int, x: float, y: float) -> str:
    fill, colour = ("#16181d", "#fff") if number == 1 else ("#fff", "#16181d")
    box = f'<rect x="{x - 9:.1f}" y="{y - 9:.1f}" width="18" height="18" fill="{fill}" stroke="#16181d"/>'
    return (
        box + f'<text x="{x:.1f}" y="{y + 5:.1f}" text-anchor="middle" font-size="13" fill="{colour}">{number}</text>'
    )
