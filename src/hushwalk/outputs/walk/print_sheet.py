"""The print sheet: map pages, timetable and cautions as one PDF, black and white first, true to scale.

The maps are drawn by print_map.py, what stands round them by print_margin.py, the words by print_tables.py.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

import numpy as np
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, NextPageTemplate, PageBreak, PageTemplate, Spacer

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.geo_pdf import with_places
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MARGIN_MM, MM, MapPage, Paper, index_page, map_pages, paper_named
from hushwalk.outputs.kit.pen import PLAIN, Pen, box, load_fonts
from hushwalk.outputs.kit.print_map import draw_map
from hushwalk.outputs.kit.print_margin import draw_margin, margin_of
from hushwalk.outputs.walk.print_closing import closing_flow
from hushwalk.outputs.walk.print_tables import caution_flow, heard_flow, timetable_flow
from hushwalk.wording.evening_words import walk_subject

FLOW_MARGIN_MM = 12.0


def print_sheet(report: Report, paper: str = "a4") -> bytes:
    """Draw the morning for paper.

    Parameters
    ----------
    report : the morning.
    paper : ``"a4"`` or ``"letter"``.

    Returns
    -------
    bytes
        A PDF: map pages first (with an index page where there are several), then timetable and cautions. Fonts are
        embedded, lines are vectors, and every map carries its place on the earth for readers that know it. The same
        report gives the same bytes.

    Raises
    ------
    SettingsError
        If the paper is not known.

    References
    ----------
    iso_32000
    """
    chosen = paper_named(paper)
    width_mm = chosen.width_mm - 2 * FLOW_MARGIN_MM
    margin = margin_of(report)

    def draw(pen: Pen, page: MapPage, part: str, *, times: bool) -> None:
        draw_map(pen, report, page, times=times)
        draw_margin(pen, report, page, margin, part)

    return bound_sheet(
        SheetParts(
            title=report.title,
            subject=walk_subject(report),
            day=report.depart.date(),
            epsg=report.grid.epsg,
            pages=map_pages(report, chosen),
            draw=draw,
            flow=lambda: [
                *timetable_flow(report, width_mm),
                *heard_flow(report, width_mm),
                *closing_flow(report, width_mm, chosen.height_mm - 2 * FLOW_MARGIN_MM),
                *caution_flow(report, width_mm, chosen.height_mm - 2 * FLOW_MARGIN_MM),
            ],
        ),
        chosen,
    )


class DrawPage(Protocol):
    """Draws one map page with its margin; ``part`` names the page of an atlas."""

    def __call__(self, pen: Pen, page: MapPage, part: str, *, times: bool) -> None:
        """Draw it."""


@dataclass(frozen=True)
class SheetParts:
    """What a sheet is bound from: title and subject, map pages and how each is drawn, and the pages of words."""

    title: str
    subject: str
    day: date
    epsg: int
    pages: tuple[MapPage, ...]
    draw: DrawPage
    flow: Callable[[], list[Any]]


def bound_sheet(parts: SheetParts, paper: Paper) -> bytes:
    """Bind map pages and words to one PDF; several maps get an index page before them."""
    load_fonts()
    maps = parts.pages if len(parts.pages) == 1 else (index_page(paper, parts.pages), *parts.pages)
    _, total = _draw(parts, paper, maps, 0)
    drawn, _ = _draw(parts, paper, maps, total)
    return with_places(drawn, parts.epsg, maps)


def _draw(parts: SheetParts, paper: Paper, maps: tuple[MapPage, ...], total: int) -> tuple[bytes, int]:
    kept = io.BytesIO()
    setter = BaseDocTemplate(
        kept,
        pagesize=(paper.width_mm * MM, paper.height_mm * MM),
        title=parts.title,
        author="hushwalk",
        subject=parts.subject,
        invariant=1,
        initialFontName=PLAIN,
        pageCompression=1,
    )
    setter.addPageTemplates([*_map_templates(parts, maps, total), _words_template(parts, paper, total)])
    story = [part for k in range(1, len(maps)) for part in (NextPageTemplate(f"map {k}"), Spacer(1, 1), PageBreak())]
    story += [NextPageTemplate("words"), Spacer(1, 1), PageBreak()]
    setter.build([*story, *parts.flow()])
    return kept.getvalue(), setter.page


def _map_templates(parts: SheetParts, maps: tuple[MapPage, ...], total: int) -> list[PageTemplate]:
    def drawer(number: int) -> Callable[[Canvas, object], None]:
        def draw(canvas: Canvas, _: object) -> None:
            canvas.setViewerPreference("PrintScaling", "None")
            if not total:  # pages are counted first; a map is always one page
                return
            pen = Pen(canvas)
            _map_page(pen, parts, number, maps)
            _foot(pen, maps[number].sheet.width_mm, total)

        return draw

    return [
        PageTemplate(
            f"map {k}",
            [Frame(10, 10, 100, 100)],
            onPage=drawer(k),
            pagesize=(page.sheet.width_mm * MM, page.sheet.height_mm * MM),
        )
        for k, page in enumerate(maps)
    ]


def _words_template(parts: SheetParts, paper: Paper, total: int) -> PageTemplate:
    edge, width, height = FLOW_MARGIN_MM * MM, paper.width_mm * MM, paper.height_mm * MM
    frame = Frame(edge, edge, width - 2 * edge, height - 2 * edge, *[0] * 4)

    def draw(canvas: Canvas, _: object) -> None:
        pen = Pen(canvas)
        pen.text((edge, 5.2 * MM), f"{parts.title[:60]}, {parts.day:%d %B %Y}", SHEET_PT["tiny"])
        _foot(pen, paper.width_mm, total)

    return PageTemplate("words", [frame], onPage=draw, pagesize=(width, height))


def _map_page(pen: Pen, parts: SheetParts, number: int, maps: tuple[MapPage, ...]) -> None:
    alone = len(maps) == 1
    part = "" if alone else f"map {number} of {len(maps) - 1}" if number else "index of maps"
    parts.draw(pen, maps[number], part, times=alone or number > 0)
    if not alone and not number:
        _index(pen, maps[number], maps[1:])


def _index(pen: Pen, page: MapPage, maps: tuple[MapPage, ...]) -> None:
    """Draw the outline of every map page."""
    for number, part in enumerate(maps, start=1):
        west, south, east, north = part.bounds_m
        low, high = page.points(np.array([[west, south], [east, north]]))
        pen.area([box(*low, *(high - low))], None, COLOURS["text"], 1.4)
        pen.text(low + np.array([5.0, 5.0]), f"map {number}", SHEET_PT["lead"], bold=True, cleared=True)


def _foot(pen: Pen, width_mm: float, total: int) -> None:
    words = f"page {pen.canvas.getPageNumber()} of {total}"
    pen.text(((width_mm - MARGIN_MM) * MM, 5.2 * MM), words, SHEET_PT["tiny"], place="right")
