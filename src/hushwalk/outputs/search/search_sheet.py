"""The print sheet of a search: map true to scale, areas in order with boxes to fill in, rules and whom to tell.

The ground, the frame and the binding are those of the sheet of a morning (print_map.py, print_sheet.py).
"""

from typing import Any

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.platypus import CondPageBreak, KeepTogether, PageBreak, Spacer, Table, TableStyle

from hushwalk.birds.search.planned_search import SearchLeg, SearchReport
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.paper import MM, MapPage, pages_for, paper_named
from hushwalk.outputs.kit.pen import Pen
from hushwalk.outputs.kit.print_detections import draw_areas, draw_birds, draw_logs
from hushwalk.outputs.kit.print_map import draw_numbers, draw_times, draw_walk, on_ground
from hushwalk.outputs.kit.print_margin import Margin, draw_margin, found_key
from hushwalk.outputs.search.area_plans import plans_flow
from hushwalk.outputs.search.search_page import leg_words, search_headline, search_lines, search_promise
from hushwalk.outputs.walk.print_sheet import FLOW_MARGIN_MM, SheetParts, bound_sheet
from hushwalk.outputs.walk.print_tables import FONT, HEAD, LEAD, RULED, SMALL, STRONG, para
from hushwalk.types import FloatArray
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.formats import clock, north_sentence, percent, sentence
from hushwalk.wording.search_words import ground_words, left_out_lines, search_rules

Flow = list[Any]  # reportlab's flowables have no types
TO_FILL = ("log, or none", "place", "droppings, which side", "length, height, slope", "photo")
HOME_PT = 480.0  # judgement: cautions and whom one told stay on one page, which is left at home
THIN_PT, WAY_PT = 0.4, 1.5  # judgement: lines through an area are thin, so that they stay apart on a map


def search_sheet(report: SearchReport, paper: str = "a4") -> bytes:
    """Draw the search for paper.

    Parameters
    ----------
    report : the search.
    paper : ``"a4"`` or ``"letter"``.

    Returns
    -------
    bytes
        A PDF bound like that of a morning; the same report gives the same bytes.

    Raises
    ------
    SettingsError
        If the paper is not known.
    """
    chosen = paper_named(paper)
    width_mm = chosen.width_mm - 2 * FLOW_MARGIN_MM
    margin = _margin(report)

    def draw(pen: Pen, page: MapPage, part: str, *, times: bool) -> None:
        _draw_map(pen, report, page, times=times)
        draw_margin(pen, report, page, margin, part)

    return bound_sheet(
        SheetParts(
            title=f"Search: {report.title}",
            subject=f"Late-morning search, {report.day:%d %B %Y}",
            day=report.day,
            epsg=report.grid.epsg,
            pages=pages_for(_points(report), chosen),
            draw=draw,
            flow=lambda: [*_areas_flow(report, width_mm), *_plans(report, width_mm), *_rules_flow(report, width_mm)],
        ),
        chosen,
    )


def _margin(report: SearchReport) -> Margin:
    own = (
        ("walk", "the search, with direction"),
        ("stop", "area, and its times"),
        ("area", "area to search"),
        ("back", "straight back to the car"),
    )
    key = (*own, *found_key(report.detections))
    return Margin(f"Search: {report.title}", report.day, search_headline(report.search), key)


def _points(report: SearchReport) -> FloatArray:
    rings = [ring for leg in report.search.legs for ring in leg.rings]
    paths = [leg.path_m for leg in report.search.legs]
    return np.concatenate([*search_lines(report.search), *paths, *rings, np.array([report.car.xy_m])])


def _draw_map(pen: Pen, report: SearchReport, page: MapPage, *, times: bool) -> None:
    search = report.search
    lines = search_lines(search)
    spots = [(str(leg.number), leg.entry.xy_m) for leg in search.legs]
    with on_ground(pen, report, page):
        draw_areas(pen, search, page)
        draw_birds(pen, report.detections, page)
        if len(search.way_back_m) > 1:
            pen.line(page.points(search.way_back_m), COLOURS["way_back"], 0.9, (2, 2))
        for one in (one for leg in search.legs for one in leg.passes):
            pen.line(page.points(one.line_m), COLOURS["walk"], THIN_PT)
        draw_walk(pen, lines, page, WAY_PT)
        if times:
            words = [f"{clock(leg.arrive)} to {clock(leg.leave)}" for leg in search.legs]
            draw_times(pen, words, [xy for _, xy in spots], (report.car.xy_m, lines), page)
        draw_numbers(pen, spots, report.car.xy_m, page)
        draw_logs(pen, report.detections, page)


def _areas_flow(report: SearchReport, width_mm: float) -> Flow:
    search = report.search
    parts = ", ".join(f"{what} {when}" for what, when in search_headline(search))
    return [
        para(f"Search: {report.title}", HEAD),
        para(f"{parts}.", STRONG),
        para(search_promise(search)),
        para("Rules", LEAD),
        *[para(f"{number}. {rule}") for number, rule in enumerate(search_rules(search.params), start=1)],
        Spacer(1, 6),
        _areas(report, width_mm),
        *[para(f"Left out: {line}", SMALL) for line in left_out_lines(search.left_out)],
        para(f"Bearings are magnetic: compass with its declination set to zero. {north_sentence(report.north)}", SMALL),
        Spacer(1, 8),
        KeepTogether([para("What I found", LEAD), _boxes(report, width_mm)]),
    ]


def _plans(report: SearchReport, width_mm: float) -> Flow:
    plans = plans_flow(report, width_mm)
    return [PageBreak(), para("Lines to walk", HEAD), *plans] if plans else []


def _areas(report: SearchReport, width_mm: float) -> Table:
    head = ["area", "arrive", "leave by", "bird", "ground", "chance", "begin at (USNG)"]
    rows: list[list[Any]] = [[para(word, SMALL) for word in head]]
    ways = []
    for leg in report.search.legs:
        ways.append(len(rows))
        rows.append([para(leg_words(leg), SMALL), *[""] * 6])
        rows.append(_area_row(leg))
    rows.append(
        [para("Car", LEAD), para(clock(report.search.back), LEAD), "", "", "", "", para(report.car.usng, SMALL)]
    )
    style = [*RULED, FONT, ("LINEBELOW", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"]))]
    for row in ways:
        style += [("SPAN", (0, row), (-1, row)), ("BACKGROUND", (0, row), (-1, row), HexColor("#eeeeee"))]
    shares = (0.08, 0.12, 0.12, 0.12, 0.2, 0.1, 0.26)
    table = Table(rows, colWidths=[share * width_mm * MM for share in shares], repeatRows=1, hAlign="LEFT")
    table.setStyle(TableStyle(style))
    return table


def _area_row(leg: SearchLeg) -> list[Any]:
    return [
        para(str(leg.number), LEAD),
        para(clock(leg.arrive), LEAD),
        para(clock(leg.leave), LEAD),
        para(", ".join((leg.bird, *leg.also)), STRONG),
        para(ground_words(leg)),
        para(percent(leg.chance)),
        para(leg.entry.usng, SMALL),
    ]


def _boxes(report: SearchReport, width_mm: float) -> Table:
    """Rule boxes for what is found: one line an area, and one for a log met on the way."""
    rows: list[list[Any]] = [[para(words, SMALL) for words in ("area", *TO_FILL)]]
    rows += [[para(f"{leg.number}  {leg.bird}", STRONG), *[""] * len(TO_FILL)] for leg in report.search.legs]
    rows.append([para("other", STRONG), *[""] * len(TO_FILL)])
    table = Table(
        rows,
        colWidths=[share * width_mm * MM for share in (0.12, 0.16, 0.22, 0.2, 0.2, 0.1)],
        rowHeights=[13.0] + [26.0] * (len(rows) - 1),
        hAlign="LEFT",
    )
    grid = ("GRID", (0, 0), (-1, -1), 0.5, HexColor(COLOURS["text"]))
    table.setStyle(TableStyle([*RULED[1:], grid, FONT]))
    return table


def _rules_flow(report: SearchReport, width_mm: float) -> Flow:
    parts = [
        ("The car stands at", f"{report.car.lat_deg:.5f}, {report.car.lon_deg:.5f}; USNG {report.car.usng}"),
        ("I begin, and am back", f"{clock(report.search.not_before)}, back by {clock(report.search.back_by)}"),
        ("I told (name, telephone)", ""),
        ("Call for help if not back by", ""),
    ]
    table = Table(
        [[para(what, SMALL), para(words, STRONG) if words else ""] for what, words in parts],
        colWidths=[0.3 * width_mm * MM, 0.7 * width_mm * MM],
        rowHeights=[22] * len(parts),
        hAlign="LEFT",
    )
    table.setStyle(TableStyle([*RULED, FONT, ("LINEBELOW", (0, 0), (-1, -1), 0.6, HexColor(COLOURS["text"]))]))
    return [
        CondPageBreak(HOME_PT),
        para("Before you go", HEAD),
        *[para(f"{number}. {line}") for number, line in enumerate(caution_sentences(report.cautions), start=1)],
        Spacer(1, 8),
        KeepTogether([para("Whom I told", LEAD), table]),
        Spacer(1, 8),
        *[para(sentence(line), SMALL) for line in (*report.notices, *credit_sentences(report.country.credits))],
    ]
