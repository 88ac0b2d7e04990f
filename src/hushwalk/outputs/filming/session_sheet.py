"""The session sheet: one side of paper a log, black and white first.

Plan view and view from the seat have files of their own; the words are those of wording/filming_words.py.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table, TableStyle

from hushwalk.filming.series import Series
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.grid.points import lonlat_text
from hushwalk.outputs.filming.plan_view import draw_plan_view, view_of
from hushwalk.outputs.filming.seat_view import draw_seat_view
from hushwalk.outputs.filming.session_text import TINY_STYLE, day_rows, framing_rows, iso_rows, shot_rows, side_rows
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM, Paper, paper_named
from hushwalk.outputs.kit.pen import PLAIN, Pen, box, load_fonts
from hushwalk.outputs.walk.print_tables import para
from hushwalk.wording.credit_words import credit_line
from hushwalk.wording.filming_words import (
    DOUBT,
    caution_words,
    compass,
    day_title,
    hhmm,
    leave_rule,
    light_in_words,
    notice_words,
    room_words,
    sight_words,
    walk_words,
)
from hushwalk.wording.measures import distance
from hushwalk.wording.shot_words import SLOT_TITLE, series_line, stay_words

EDGE_MM = 11.0
PLAN_MM = 76.0
GAP = 5.0
HEAD_PT, TITLE_PT, TEXT_PT = 31.0, 10.5, 33.0
EVERY = {1: "", 2: ", each half hour", 4: ", each hour", 6: ", each hour and a half"}


@dataclass(frozen=True)
class Counts:
    """What is printed: lenses, days, sides, each so many quarters of the shot list, and the plan view's side [mm]."""

    lenses: int
    days: int
    sides: int
    every: int = 1
    iso: bool = True
    plan_mm: float = PLAN_MM


FEWER = (
    Counts(4, 5, 3),
    Counts(3, 4, 3),
    Counts(2, 3, 3),
    Counts(2, 3, 2, iso=False),
    Counts(2, 2, 2, iso=False),
    Counts(2, 1, 2, iso=False),
    Counts(1, 2, 2, iso=False),
    Counts(1, 1, 1, iso=False),
    Counts(2, 3, 2, 2),
    Counts(2, 3, 2, 2, iso=False),
    Counts(1, 2, 2, 2, iso=False),
    Counts(1, 2, 1, 2, iso=False, plan_mm=66.0),
    Counts(1, 2, 1, 4, iso=False, plan_mm=60.0),
    Counts(1, 1, 1, 6, iso=False, plan_mm=54.0),
)
"""The first that fits the page is taken."""


def session_sheet(report: SessionReport, plan: LogPlan, series: Series, paper: str = "a4") -> bytes:
    """Draw the sheet of one log.

    Parameters
    ----------
    report : the sessions.
    plan : the log.
    series : the days as a series, in one sentence where there is room for it.
    paper : ``"a4"`` or ``"letter"``.

    Returns
    -------
    bytes
        A PDF of one page with embedded fonts; the same report gives the same bytes.

    Raises
    ------
    SettingsError
        If the paper is not known.
    """
    chosen = paper_named(paper)
    load_fonts()
    kept = io.BytesIO()
    size = (chosen.width_mm * MM, chosen.height_mm * MM)
    canvas = Canvas(kept, pagesize=size, invariant=1, initialFontName=PLAIN)
    canvas.setTitle(f"{plan.name}, filming session")
    canvas.setAuthor("hushwalk")
    pages = (_Page(canvas, chosen, report, plan, words) for words in (series_line(series), ""))
    fitting = ((page, counts) for page in pages for counts in FEWER if page.left_over(counts) >= 0)
    page, counts = next(fitting, (_Page(canvas, chosen, report, plan), FEWER[-1]))
    page.draw(counts)
    canvas.showPage()
    canvas.save()
    return kept.getvalue()


class _Page:
    """One side of paper that is filled from the top."""

    def __init__(self, canvas: Canvas, paper: Paper, report: SessionReport, plan: LogPlan, series: str = "") -> None:
        self.canvas, self.pen, self.report, self.plan, self.series = canvas, Pen(canvas), report, plan, series
        self.left = EDGE_MM * MM
        self.width = (paper.width_mm - 2 * EDGE_MM) * MM
        self.y = (paper.height_mm - EDGE_MM) * MM
        self.bottom = EDGE_MM * MM
        self.cells: dict[str, list[list[Any]]] = {}
        self.heights: dict[str, list[float]] = {}

    def left_over(self, counts: Counts) -> float:
        """Give the height that would be left over, negative where the counts do not fit [pt]; draws nothing.

        Rows are set and measured once, with the largest counts; fewer rows are the first of them.
        """
        used = HEAD_PT * (1 if self.plan.best is None or self.plan.best.session is None else 2)
        used += counts.plan_mm * MM + GAP
        for title, rows, shares in self._tables(counts):
            used += TITLE_PT + sum(self._heights(title, rows, shares)[: len(rows)]) + GAP
        for flow, gap in self._caution_flows():
            used += flow.wrapOn(self.canvas, self.width, 10_000)[1] + gap
        return self.y - used - (self.bottom + TEXT_PT)

    def draw(self, counts: Counts) -> float:
        """Fill the page; give the height left over, negative where it did not fit [pt]."""
        self._head()
        self._drawings(counts.plan_mm)
        for title, rows, shares in self._tables(counts):
            self._table(title, rows, shares)
        for flow, gap in self._caution_flows():
            self.y = self._put(flow, self.left, self.y, self.width) - gap
        return self.y - self._draw_text()

    def _tables(self, counts: Counts) -> list[tuple[str, list[list[str]], tuple[float, ...]]]:
        plan, report = self.plan, self.report
        lines = [
            ("Where to sit, best first (numbers as in the plan view)", *side_rows(plan, counts.sides)),
            (f"Lenses from there, {room_words(plan)}", *framing_rows(plan, counts.lenses)),
        ]
        if plan.best is not None and plan.best.session is not None:
            lines.append((f"{SLOT_TITLE}{EVERY[counts.every]}", *shot_rows(plan, counts.every)))
            if counts.iso:
                lines.append(("ISO needed on his side towards you", *iso_rows(report, plan)))
            lines.append(("Days, the best first", *day_rows(plan, counts.days)))
        return lines

    def _head(self) -> None:
        plan, day = self.plan, self.plan.best
        when = day_title(plan)
        self.pen.text((self.left, self.y - 14), plan.name, SHEET_PT["head"], bold=True)
        self.pen.text((self.left + self.width, self.y - 14), when, SHEET_PT["lead"], bold=True, place="right")
        place = f"{plan.place.usng}   {lonlat_text((plan.place.lon_deg, plan.place.lat_deg))}   {self.report.title}"
        self.pen.text((self.left, self.y - 25), place, SHEET_PT["small"])
        self.y -= HEAD_PT
        if day is None or day.session is None:
            return
        session, span = day.session, day.sun_span()
        times = [
            ("leave the car by", hhmm(session.leave_car_by)),
            ("in the hide by", hhmm(session.in_hide_by)),
            ("sunset" if session.when == "evening" else "sunrise", hhmm(session.anchor)),
            (_sun_label(plan, session.when), hhmm(span[session.when == "evening"]) if span else "none"),
            ("best hour", f"{hhmm(session.best[0])}-{hhmm(session.best[1])}"),
            ("leave the hide by", hhmm(session.until)),
        ]
        widths = (0.15, 0.14, 0.12, 0.21, 0.22, 0.16)
        x = self.left
        for (label, words), share in zip(times, widths, strict=True):
            self.pen.text((x, self.y - 8), label, SHEET_PT["small"], colour=COLOURS["quiet"])
            self.pen.text((x, self.y - 24), words, SHEET_PT["head"], bold=True)
            x += share * self.width
        self.y -= HEAD_PT

    def _drawings(self, plan_mm: float) -> None:
        side, plan = plan_mm * MM, self.plan
        draw_plan_view(self.pen, self.report, plan, view_of(plan, self.left, self.y - side, side))
        left = self.left + side + 9
        width = self.left + self.width - left
        y, floor = self.y, self.y - side
        for words in self._text_lines():
            y = self._put(para(words, TINY_STYLE), left, y, width) - 1.5
        high = min(y - floor, 0.42 * width + 20)
        draw_seat_view(self.pen, plan, (left, y - high), (width, high))
        self.canvas.setDash()
        self.y -= side + GAP

    def _text_lines(self) -> list[str]:
        plan, side = self.plan, self.plan.side
        return [
            f"Sit in the {side.name} at {distance(side.distance_m)}, lens along {compass(self.report, side.lens_deg)}.",
            sight_words(plan.sight),
            walk_words(plan, evening=self.report.evening),
            *(stay_words(plan.shots) if plan.shots is not None else []),
            leave_rule(),
            f"Light: {light_in_words(self.report, plan)}; {DOUBT}.",
        ]

    def _caution_flows(self) -> list[tuple[Flowable, float]]:
        lines = [f"{number}. {words}" for number, words in enumerate(caution_words(self.report), start=1)]
        lengths = np.cumsum([len(line) for line in lines])
        first = int(np.searchsorted(lengths, lengths[-1] / 2)) + 1
        columns = [[para(line, TINY_STYLE) for line in part] for part in (lines[:first], lines[first:])]
        table = Table([columns], colWidths=[self.width / 2] * 2, hAlign="LEFT", style=_PLAIN)
        flows: list[tuple[Flowable, float]] = [(para(self.series, TINY_STYLE), GAP)] if self.series else []
        flows.append((table, 1.0))
        notices = notice_words(self.report, self.plan)
        if notices:
            words = "Know: " + ". ".join(notice.rstrip(".") for notice in notices) + "."
            flows.append((para(words, TINY_STYLE), 0.0))
        if self.report.credits:
            flows.append((para(f"{credit_line(self.report.credits)}.", TINY_STYLE), 0.0))
        return flows

    def _draw_text(self) -> float:
        """Rule the lines for who knows of the walk at the foot; give the height that they begin at."""
        top = self.bottom + 30
        self.pen.area([box(self.left, self.bottom, self.width, 30)], None, COLOURS["text"], 0.8)
        session = self.plan.best.session if self.plan.best else None
        back = f"back at the car by {hhmm(session.back_at)}" if session else "back at the car by"
        labels = ("I told (name, telephone)", back, "call for help after, whom")
        for label, share in zip(labels, (0.0, 0.42, 0.62), strict=True):
            self.pen.text(
                (self.left + share * self.width + 3, top - 8), label, SHEET_PT["tiny"], colour=COLOURS["quiet"]
            )
        car = f"car {self.report.car.usng}   {lonlat_text((self.report.car.lon_deg, self.report.car.lat_deg))}"
        self.pen.text((self.left + 3, self.bottom - 7), car, SHEET_PT["tiny"])
        return top + 3

    def _table(self, title: str, rows: Sequence[Sequence[str]], shares: Sequence[float]) -> None:
        self.pen.text((self.left, self.y - 8), title, SHEET_PT["small"], bold=True)
        self.canvas.setDash()  # the drawings leave theirs behind
        table = self._set(title, rows, shares)
        self.y = self._put(table, self.left, self.y - TITLE_PT, self.width) - GAP

    def _set(self, title: str, rows: Sequence[Sequence[str]], shares: Sequence[float]) -> Table:
        """Set rows as a table; what was set before under its title is taken again."""
        if len(self.cells.get(title, ())) < len(rows):
            self.cells[title] = [[para(cell, TINY_STYLE) for cell in row] for row in rows]
        cells = self.cells[title][: len(rows)]
        table = Table(cells, colWidths=[share * self.width for share in shares], hAlign="LEFT")
        table.setStyle(TableStyle(_RULES))
        return table

    def _heights(self, title: str, rows: Sequence[Sequence[str]], shares: Sequence[float]) -> list[float]:
        if len(self.heights.get(title, ())) < len(rows):
            table = self._set(title, rows, shares)
            table.wrapOn(self.canvas, self.width, 10_000)
            self.heights[title] = list(table._rowHeights)  # noqa: SLF001  reportlab gives them in no other way
        return self.heights[title]

    def _put(self, flow: Flowable, left: float, top: float, width: float) -> float:
        _, height = flow.wrapOn(self.canvas, width, 10_000)
        flow.drawOn(self.canvas, left, top - height)
        return float(top - height)


def _sun_label(plan: LogPlan, when: str) -> str:
    if not plan.skyline.measured:
        return "sun, trees not measured"
    return "sun on the log until" if when == "evening" else "sun on the log from"


_PLAIN = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 6),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ("FONTNAME", (0, 0), (-1, -1), PLAIN),
]
_RULES = [
    ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(COLOURS["text"])),
    ("LINEBELOW", (0, 1), (-1, -1), 0.3, HexColor(COLOURS["line"])),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 1.5),
    ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
    ("TOPPADDING", (0, 0), (-1, -1), 0.8),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
    ("FONTNAME", (0, 0), (-1, -1), PLAIN),
]
