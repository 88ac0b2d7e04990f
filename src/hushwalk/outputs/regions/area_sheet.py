"""The area report on paper: region and ranked table first, then three areas a page, all maps at one true scale.

The maps are drawn by area_map.py, the words are those of wording/area_words.py.
"""

import io
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import KeepTogether, PageBreak, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from hushwalk.outputs.kit.palette import BANDS, COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM, paper_named
from hushwalk.outputs.kit.pen import BOLD, PLAIN, load_fonts
from hushwalk.outputs.regions.area_canvas import MapFlow
from hushwalk.outputs.regions.area_map import (
    SIDE_MM,
    key_drawing,
    one_scale,
    overview_drawing,
    plate_drawing,
    signs_shown,
)
from hushwalk.outputs.walk.print_tables import FONT, HEAD, LEAD, RULED, SMALL, STRONG, TEXT, para
from hushwalk.regions.area_report import Areas, Plate
from hushwalk.wording.area_words import (
    SIGNS,
    cells,
    columns,
    lead,
    place_text,
    scale_text,
    title,
    trust,
    unranked_lines,
    warning_lines,
)
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.formats import sentence
from hushwalk.wording.plate_words import plate_words

EDGE_MM = 12.0
ROWS_MAX = 24  # judgement: the first page holds that many beside the map of the region
GAP_MM = 4.0
KEY_COLUMNS = 3  # judgement: so wide that the longest words stay on two lines
WIDE_MM, HIGH_MM, LOW_MM, ROW_MM = 180.0, 190.0, 80.0, 6.0
SHARES = (0.06, 0.28, 0.10, 0.11, 0.08, 0.1, 0.1, 0.08, 0.09)


def area_sheet(areas: Areas, paper: str = "a4") -> bytes:
    """Write the report for paper.

    Parameters
    ----------
    areas : ranked, with a closer look at the best.
    paper : ``"a4"`` or ``"letter"``.

    Returns
    -------
    bytes
        A PDF with embedded fonts; the same areas give the same bytes.

    Raises
    ------
    SettingsError
        If the paper is not known.
    OutputError
        If a reach fits no map.
    """
    chosen = paper_named(paper)
    load_fonts()
    kept = io.BytesIO()
    edge = EDGE_MM * MM
    setter = SimpleDocTemplate(
        kept,
        pagesize=(chosen.width_mm * MM, chosen.height_mm * MM),
        leftMargin=edge,
        rightMargin=edge,
        topMargin=edge,
        bottomMargin=edge,
        title=title(areas),
        author="hushwalk",
        invariant=1,
        initialFontName=PLAIN,
        pageCompression=1,
    )
    width = (chosen.width_mm - 2 * EDGE_MM) * MM - 12  # the frame keeps 6 points free on each side
    setter.build(_story(areas, width), onFirstPage=_foot, onLaterPages=_foot)
    return kept.getvalue()


def _foot(canvas: Canvas, _: object) -> None:
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setFont(PLAIN, SHEET_PT["tiny"])
    canvas.drawRightString(canvas._pagesize[0] - EDGE_MM * MM, 6 * MM, f"page {canvas.getPageNumber()}")  # noqa: SLF001


def _story(areas: Areas, width: float) -> list[Any]:
    scale = one_scale(areas.plates)
    return [
        para(title(areas), HEAD),
        para(lead(areas)),
        *(para(sentence(words), STRONG) for words in warning_lines(areas)),
        MapFlow(overview_drawing(areas, (WIDE_MM, max(LOW_MM, HIGH_MM - ROW_MM * len(areas.areas))))),
        Spacer(1, 3),
        _bands(width),
        Spacer(1, 3),
        _ranked(areas, width),
        PageBreak(),
        para(f"The best {len(areas.plates)}, all maps {scale_text(scale)}", HEAD),
        _key(areas, width),
        para("Lines 1 km apart; grid north up. 100 % when printing, not fitted to the page.", SMALL),
        *(_card(plate, areas, scale, width) for plate in areas.plates),
        KeepTogether(
            [
                para("Before you go", LEAD),
                *(para(f"{n}. {w}") for n, w in enumerate(caution_sentences(areas.cautions), 1)),
            ]
        ),
        Spacer(1, 6),
        *_left_out(areas),
        KeepTogether([para("How far to trust it", LEAD), *(para(words, SMALL) for words in trust(areas))]),
    ]


def _bands(width: float) -> Table:
    words = [para("how good the ground is", SMALL), *(para(band.word, SMALL) for band in BANDS)]
    wide = 0.6 * width / len(BANDS)
    table = Table([[""] * len(words), words], colWidths=[0.22 * width, *[wide] * len(BANDS)], hAlign="LEFT")
    colours = [("BACKGROUND", (k, 0), (k, 0), HexColor(band.colour)) for k, band in enumerate(BANDS, start=1)]
    table.setStyle(TableStyle([*colours, ("BOX", (1, 0), (-1, 0), 0.5, HexColor(COLOURS["text"])), FONT, *_TIGHT]))
    return table


def _key(areas: Areas, width: float) -> Table:
    wide = (width - KEY_COLUMNS * 11 * MM) / KEY_COLUMNS
    shown: list[tuple[Any, Any]] = [
        (MapFlow(key_drawing(sign)), para(SIGNS[sign], SMALL)) for sign in signs_shown(areas.plates)
    ]
    shown += [("", "")] * (-len(shown) % KEY_COLUMNS)
    rows = [[part for sign in shown[k : k + KEY_COLUMNS] for part in sign] for k in range(0, len(shown), KEY_COLUMNS)]
    table = Table(rows, colWidths=[11 * MM, wide] * KEY_COLUMNS, hAlign="LEFT")
    table.setStyle(TableStyle([FONT, ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), *_TIGHT]))
    return table


def _ranked(areas: Areas, width: float) -> Table:
    heads = columns(areas)
    shares = [share / sum(SHARES[: len(heads)]) for share in SHARES[: len(heads)]]
    rows: list[list[Any]] = [[para(word, SMALL) for word in heads]]
    for area in areas.areas[:ROWS_MAX]:
        number, name, *rest = cells(area)
        rows.append([para(number, STRONG), para(name), *(para(word) for word in rest)])
    if len(areas.areas) > ROWS_MAX:
        rows.append(["", para(f"and {len(areas.areas) - ROWS_MAX} more in areas.csv", SMALL), *[""] * (len(heads) - 2)])
    table = Table(rows, colWidths=[share * width for share in shares], repeatRows=1, hAlign="LEFT")
    table.setStyle(TableStyle([*RULED, *_TIGHT, FONT, ("LINEBELOW", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"]))]))
    return table


def _card(plate: Plate, areas: Areas, scale: int, width: float) -> Table:
    words = plate_words(plate, areas)
    parts = [
        para(f"{plate.area.rank}. {plate.area.place.name}", LEAD),
        _part("Good", words.good),
        _part("Held back", words.held_back),
        _part("Land", (words.land,)),
        _part("Access", (words.access,)),
        para(place_text(plate), SMALL),
    ]
    side = SIDE_MM * MM + GAP_MM * MM
    table = Table([[MapFlow(plate_drawing(plate, scale)), parts]], colWidths=[side, width - side], hAlign="LEFT")
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
                ("LINEABOVE", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"])),
                FONT,
            ]
        )
    )
    return table


def _part(name: str, lines: tuple[str, ...]) -> Paragraph:
    parts = escape(" ".join(sentence(line) for line in lines))
    return Paragraph(f'<font name="{BOLD}">{name}.</font> {parts}', TEXT)


_TIGHT = [
    ("LEFTPADDING", (0, 0), (-1, -1), 1),
    ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ("TOPPADDING", (0, 0), (-1, -1), 0.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
]


def _left_out(areas: Areas) -> list[Any]:
    """Set which places are not in the ranking, and why; nothing where all are."""
    lines = unranked_lines(areas)
    return [KeepTogether([para("Left out", LEAD), *(para(f"{words}.", SMALL) for words in lines)])] if lines else []
