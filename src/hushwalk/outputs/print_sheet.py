"""The print sheet: map pages, timetable and cautions as one PDF, black and white first, true to scale.

The maps are drawn by print_map.py, what stands round them by print_margin.py, the words by print_tables.py.
"""

import io
from collections.abc import Callable

import numpy as np
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, NextPageTemplate, PageBreak, PageTemplate, Spacer

from hushwalk.outputs.geo_pdf import with_places
from hushwalk.outputs.palette import INK, SHEET_PT
from hushwalk.outputs.paper import MARGIN_MM, MM, MapPage, Paper, index_page, map_pages, paper_named
from hushwalk.outputs.pen import PLAIN, Pen, box, load_fonts
from hushwalk.outputs.print_map import draw_map
from hushwalk.outputs.print_margin import draw_margin
from hushwalk.outputs.print_tables import caution_flow, timetable_flow
from hushwalk.trip.report import Report

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
    load_fonts()
    maps = _all_maps(report, chosen)
    _, total = _draw(report, chosen, maps, 0)
    drawn, _ = _draw(report, chosen, maps, total)
    return with_places(drawn, report.grid.epsg, maps)


def _all_maps(report: Report, paper: Paper) -> tuple[MapPage, ...]:
    pages = map_pages(report, paper)
    return pages if len(pages) == 1 else (index_page(paper, pages), *pages)


def _draw(report: Report, paper: Paper, maps: tuple[MapPage, ...], total: int) -> tuple[bytes, int]:
    kept = io.BytesIO()
    setter = BaseDocTemplate(
        kept,
        pagesize=(paper.width_mm * MM, paper.height_mm * MM),
        title=report.title,
        author="hushwalk",
        subject=f"Dawn listening walk, {report.depart:%d %B %Y}",
        invariant=1,
        initialFontName=PLAIN,
        pageCompression=1,
    )
    setter.addPageTemplates([*_map_templates(report, maps, total), _words_template(report, paper, total)])
    width_mm = paper.width_mm - 2 * FLOW_MARGIN_MM
    story = [part for k in range(1, len(maps)) for part in (NextPageTemplate(f"map {k}"), Spacer(1, 1), PageBreak())]
    story += [NextPageTemplate("words"), Spacer(1, 1), PageBreak()]
    setter.build([*story, *timetable_flow(report, width_mm), *caution_flow(report, width_mm)])
    return kept.getvalue(), setter.page


def _map_templates(report: Report, maps: tuple[MapPage, ...], total: int) -> list[PageTemplate]:
    def drawer(number: int) -> Callable[[Canvas, object], None]:
        def draw(canvas: Canvas, _: object) -> None:
            canvas.setViewerPreference("PrintScaling", "None")
            if not total:  # pages are counted first; a map is always one page
                return
            pen = Pen(canvas)
            _map_page(pen, report, maps[number], number, maps)
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


def _words_template(report: Report, paper: Paper, total: int) -> PageTemplate:
    edge, width, height = FLOW_MARGIN_MM * MM, paper.width_mm * MM, paper.height_mm * MM
    frame = Frame(edge, edge, width - 2 * edge, height - 2 * edge, *[0] * 4)

    def draw(canvas: Canvas, _: object) -> None:
        pen = Pen(canvas)
        pen.text((edge, 5.2 * MM), f"{report.title[:60]}, {report.depart:%d %B %Y}", SHEET_PT["tiny"])
        _foot(pen, paper.width_mm, total)

    return PageTemplate("words", [frame], onPage=draw, pagesize=(width, height))


def _map_page(pen: Pen, report: Report, page: MapPage, number: int, maps: tuple[MapPage, ...]) -> None:
    draw_map(pen, report, page, times=len(maps) == 1 or number > 0)
    if len(maps) == 1:
        draw_margin(pen, report, page)
    elif number:
        draw_margin(pen, report, page, f"map {number} of {len(maps) - 1}")
    else:
        draw_margin(pen, report, page, "index of maps")
        _index(pen, page, maps[1:])


def _index(pen: Pen, page: MapPage, maps: tuple[MapPage, ...]) -> None:
    """Draw the outline of every map page."""
    for number, part in enumerate(maps, start=1):
        west, south, east, north = part.bounds_m
        low, high = page.points(np.array([[west, south], [east, north]]))
        pen.area([box(*low, *(high - low))], None, INK["text"], 1.4)
        pen.text(low + np.array([5.0, 5.0]), f"map {number}", SHEET_PT["lead"], bold=True, cleared=True)


def _foot(pen: Pen, width_mm: float, total: int) -> None:
    words = f"page {pen.canvas.getPageNumber()} of {total}"
    pen.text(((width_mm - MARGIN_MM) * MM, 5.2 * MM), words, SHEET_PT["tiny"], place="right")
