"""The sheet's pages of words: timetable, ways back, boxes for bearings, cautions and whom to tell.

The maps are drawn by print_map.py.
"""

import math
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import KeepTogether, PageBreak, Paragraph, Spacer, Table, TableStyle

from hushwalk.morning.report import Leg, Report, Stop
from hushwalk.outputs.kit.crossing_signs import crossing_lines
from hushwalk.outputs.kit.palette import COLOURS, SHEET_PT
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import BOLD, PLAIN
from hushwalk.outputs.walk.home_map import HomeMap
from hushwalk.wording.card_of_bearings import READING, reading_lines
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.closing_words import closing_at, latest_note, latest_words
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.crossing_words import COLUMNS, WHY
from hushwalk.wording.crossing_words import HEAD as CROSSINGS
from hushwalk.wording.day_words import expected_sentences
from hushwalk.wording.formats import (
    bearing,
    clock,
    compass_point,
    headline,
    leg_note,
    north_sentence,
    percent,
    promise,
    sentence,
)
from hushwalk.wording.going_words import going_parts
from hushwalk.wording.males_words import steps_sentences
from hushwalk.wording.measures import distance, height
from hushwalk.wording.morning_words import (
    ground_sentences,
    notice_sentences,
    plain_walk_sentence,
    proof_words,
    usual_noise,
)
from hushwalk.wording.robustness_words import robustness_words

Flow = list[Any]  # reportlab's flowables have no types
NOTE_ROWS = 3  # judgement: more than three birds a stop are rarely written down apart
NOTE_PT, LOW_NOTE_PT = 16.5, 14.0  # judgement: a line of handwriting; the lower where there are many [pt]
FEWER_ROWS, MANY_STOPS = 2, 10  # judgement: on a long walk two lines a stop keep all stops on one page
BLANK, PLACE = "", "place (USNG)"
FONT = ("FONTNAME", (0, 0), (-1, -1), PLAIN)


def _style(size: float, *, bold: bool = False, after: float = 3.0) -> ParagraphStyle:
    return ParagraphStyle(
        f"{size}{bold}",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=1.3 * size,
        spaceAfter=after,
        textColor=HexColor(COLOURS["text"]),
        alignment=TA_LEFT,
    )


TEXT, SMALL = _style(SHEET_PT["text"]), _style(SHEET_PT["small"], after=2)
DENSE = _style(SHEET_PT["small"], after=0.5)
STRONG, LEAD, HEAD = (
    _style(SHEET_PT["text"], bold=True),
    _style(SHEET_PT["lead"], bold=True),
    _style(SHEET_PT["head"], bold=True),
)
RULED = [
    ("LINEBELOW", (0, 0), (-1, -1), 0.4, HexColor(COLOURS["line"])),
    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
    ("LEFTPADDING", (0, 0), (-1, -1), 2),
    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
    ("TOPPADDING", (0, 0), (-1, -1), 2.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
]


def para(words: str, style: ParagraphStyle = TEXT) -> Paragraph:
    """Set words as a paragraph; signs that mean something to the setter are escaped."""
    return Paragraph(escape(words), style)


def _bold_lead(lead: str, words: str) -> Paragraph:
    return Paragraph(f'<font name="{BOLD}">{escape(lead)}</font> {escape(words)}', TEXT)


def timetable_flow(report: Report, width_mm: float) -> Flow:
    """Set the page of times, with the minutes straight back to the car from each stop."""
    usual, _ = usual_noise([stop.noise for stop in report.stops])
    facts = ", ".join(f'{escape(what)} <font name="{BOLD}">{when}</font>' for what, when in headline(report))
    return [
        para(f"Timetable: {report.title}", HEAD),
        Paragraph(f"{facts[:1].upper()}{facts[1:]}.", TEXT),
        *([_bold_lead(*going)] if (going := going_parts(report)) else []),
        para(promise(report, with_males=going is None)),
        *[para(line, SMALL) for line in expected_sentences(report.expected)],
        _timetable(report, width_mm),
        para(
            "Bearings are magnetic: what a compass reads with its declination set to zero. In brackets: true. "
            + north_sentence(report.north),
            SMALL,
        ),
        *([para(f"Listen over {usual}; louder or other noise stands in the table.", SMALL)] if usual else []),
        *([para(note, SMALL)] if report.closing and (note := latest_note(report.closing)) else []),
        *_crossings(report, width_mm),
    ]


def _crossings(report: Report, width_mm: float) -> Flow:
    """Set the stops of the same minutes as those of the other; nothing where one is alone."""
    if not report.crossings:
        return []
    rows = [[para(words, SMALL) for words in row] for row in (COLUMNS, *crossing_lines(report))]
    shares = (0.16, 0.08, 0.22, 0.28, 0.26)
    made = Table(rows, colWidths=[share * width_mm * MM for share in shares], hAlign="LEFT")
    made.setStyle(TableStyle([*RULED, FONT, ("LINEBELOW", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"]))]))
    return [KeepTogether([para(CROSSINGS, LEAD), para(WHY, SMALL), made])]


def heard_flow(report: Report, width_mm: float) -> Flow:
    """Set the card of how to read a bearing, and the boxes to write bearings in."""
    return [
        Spacer(1, 6),
        *([*boxed(READING, reading_lines(), width_mm), Spacer(1, 6)] if report.closing else []),
        para("What I heard", LEAD),
        para(
            "One line a bearing: when, which bird, what the compass reads, how often he was heard, near, mid or far.",
            SMALL,
        ),
        _notes(report, width_mm),
    ]


def boxed(head: str, lines: tuple[str, ...], width_mm: float) -> Flow:
    """Set a card: a head and numbered lines in a box.

    Parameters
    ----------
    head, lines : its words.
    width_mm : of the box [mm].

    Returns
    -------
    list
        For the setter.
    """
    said = [para(head, LEAD), *[para(f"{number}. {line}", SMALL) for number, line in enumerate(lines, start=1)]]
    card = Table([[said]], colWidths=[width_mm * MM], hAlign="LEFT")
    card.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 1, HexColor(COLOURS["text"])), FONT]))
    return [card]


def caution_flow(report: Report, width_mm: float, height_mm: float) -> Flow:
    """Set the page of cautions and of whom to tell, which stays at home, with a map as high as the page leaves room.

    Parameters
    ----------
    report : the morning.
    width_mm, height_mm : room on a page [mm].

    Returns
    -------
    list
        For the setter.
    """
    lines = [para(f"{number}. {line}") for number, line in enumerate(caution_sentences(report.cautions), start=1)]
    trust = [
        " ".join(steps_sentences(report.males.steps, report.males.expected, evening=report.evening is not None)),
        proof_words(report.proof),
        *robustness_words(report.robustness),
        *notice_sentences(report),
        *ground_sentences(report),
    ]
    above = [
        para("Before you go", HEAD),
        *lines,
        Spacer(1, 5),
        para("Whom I told", LEAD),
        _contacts(report, width_mm),
        Spacer(1, 3),
    ]
    below = [
        Spacer(1, 3),
        para("How far to trust this plan", LEAD),
        *[para(sentence(line), DENSE) for line in trust if line],
        para(f"For comparison: {plain_walk_sentence(report.plain)}.", DENSE),
        *[para(sentence(line), DENSE) for line in credit_sentences(report.country.credits)],
        para(sentence(f"{report.species}, planned by hushwalk with seed {report.settings.seed}"), DENSE),
    ]
    left_mm = height_mm - _height_pt([*above, *below], width_mm) / MM
    return [PageBreak(), *above, HomeMap(report, width_mm, left_mm), *below]


def _height_pt(flow: Flow, width_mm: float) -> float:
    """Add up how high flowables stand when they are set one below the other [pt]."""
    parts = [(one.wrap(width_mm * MM, math.inf)[1], one.getSpaceBefore(), one.getSpaceAfter()) for one in flow]
    return float(sum(sum(part) for part in parts))


def _timetable(report: Report, width_mm: float) -> Table:
    stops = {stop.place.name: stop for stop in report.stops}
    _, louder = usual_noise([stop.noise for stop in report.stops])
    over = {stop.place.name: words for stop, words in zip(report.stops, louder, strict=True)} if any(louder) else {}
    columns = [("stop", 0.065), ("arrive", 0.09), ("walk on", 0.095), ("listen towards", 0.17), ("chance", 0.07)]
    columns += [("listen over", 0.15)] if over else []
    columns += [(PLACE, 0.17), ("turn back by", 0.095)]
    columns += [("close in until", 0.095)] if report.closing else []
    head = [name for name, _ in columns]
    car = [para(report.car.usng, SMALL) if name == PLACE else "" for name in head[3:]]
    rows: list[list[Any]] = [[para(word, SMALL) for word in head], _car_row("", clock(report.depart), car)]
    legs = []
    for leg in report.legs:
        legs.append(len(rows))
        words = f"to {leg.end}: {_leg_words(leg)}{_minutes_back(stops.get(leg.end))}"
        rows.append([para(words, SMALL), *[""] * (len(head) - 1)])
        at_stop = leg.end in stops
        rows.append(_stop_row(report, stops[leg.end], over) if at_stop else _car_row(clock(leg.arrive), "", car))
    room = sum(share for _, share in columns)
    style = [*RULED, FONT, ("LINEBELOW", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"]))]
    style += [("TOPPADDING", (0, 0), (-1, -1), 1.3), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6)]
    for row in legs:
        style += [("SPAN", (0, row), (-1, row)), ("BACKGROUND", (0, row), (-1, row), HexColor("#eeeeee"))]
        style.append(("NOSPLIT", (0, row), (-1, row + 1)))  # a leg stands with the place that it leads to
    if len(legs) > 1:
        style.append(("NOSPLIT", (0, legs[-2]), (-1, -1)))  # and the car with the last stop
    table = Table(rows, colWidths=[share / room * width_mm * MM for _, share in columns], repeatRows=1, hAlign="LEFT")
    table.setStyle(TableStyle(style))
    return table


def _stop_row(report: Report, stop: Stop, over: dict[str, str]) -> list[Any]:
    closing = closing_at(report.closing, stop.place.name)
    until = [] if report.closing is None else [para(latest_words(closing.times if closing else None), STRONG)]
    return [
        para(stop.place.name, LEAD),
        para(clock(stop.arrive), LEAD),
        para(clock(stop.leave), LEAD),
        para(_towards(stop), STRONG),
        para(percent(stop.chance_any), TEXT),
        *([para(over[stop.place.name], SMALL)] if over else []),
        para(stop.place.usng, SMALL),
        para(clock(stop.latest_leave), STRONG),
        *until,
    ]


def _car_row(arrive: str, leave: str, rest: list[Any]) -> list[Any]:
    return [*(para(words, LEAD) if words else "" for words in ("Car", arrive, leave)), *rest]


def _towards(stop: Stop) -> str:
    if stop.listen_towards_deg is None or stop.listen_towards_magnetic_deg is None:
        return "all round"
    true = bearing(stop.listen_towards_deg)
    return f"{compass_point(stop.listen_towards_deg)} {bearing(stop.listen_towards_magnetic_deg)} ({true})"


def _leg_words(leg: Leg) -> str:
    facts = [
        f"{compass_point(leg.azimuth_deg)} {bearing(leg.magnetic_deg)} ({bearing(leg.azimuth_deg)})",
        distance(leg.length_m),
        f"{leg.minutes:.0f} min",
        f"up {height(leg.climb_m)}, down {height(leg.descent_m)}",
    ]
    return ", ".join([*facts, note] if (note := leg_note(leg)) else facts)


def _minutes_back(stop: Stop | None) -> str:
    """Minutes straight back to the car, the short dashes on the map."""
    if stop is None or stop.bail_out_minutes is None:
        return ""
    return f"; from {stop.place.name} straight to the car {stop.bail_out_minutes:.0f} min"


def _notes(report: Report, width_mm: float) -> Table:
    """Rule boxes for what is heard: a few lines a stop, the stop's times and direction beside them."""
    head = ["stop", "time", "bird", "compass", "how often", "near, mid or far", "words"]
    rows: list[list[Any]] = [[para(word, SMALL) for word in head]]
    style = [("GRID", (0, 0), (-1, -1), 0.5, HexColor(COLOURS["text"])), ("VALIGN", (0, 0), (0, -1), "TOP")]
    lines = FEWER_ROWS if len(report.stops) > MANY_STOPS else NOTE_ROWS
    for stop in report.stops:
        first = len(rows)
        said = [
            para(f"{stop.place.name}  {clock(stop.arrive)} to {clock(stop.leave)}", STRONG),
            para(_towards(stop), SMALL),
        ]
        rows += [[said if k == 0 else BLANK, *[BLANK] * 6] for k in range(lines)]
        style += [
            ("SPAN", (0, first), (0, first + lines - 1)),
            ("LINEABOVE", (0, first), (-1, first), 1.4, HexColor(COLOURS["text"])),
            ("NOSPLIT", (0, first), (-1, first + lines - 1)),
        ]
    table = Table(
        rows,
        colWidths=[share * width_mm * MM for share in (0.24, 0.09, 0.07, 0.12, 0.09, 0.14, 0.25)],
        rowHeights=[13.0] + [NOTE_PT if lines == NOTE_ROWS else LOW_NOTE_PT] * (len(rows) - 1),
        repeatRows=1,
        hAlign="LEFT",
    )
    table.setStyle(TableStyle([*RULED[1:], *style, FONT]))
    return table


def _contacts(report: Report, width_mm: float) -> Table:
    place = f"{report.car.lat_deg:.5f}, {report.car.lon_deg:.5f}; USNG {report.car.usng}"
    rows = [
        ("The car stands at", place),
        ("I leave, and am back", f"{clock(report.depart)}, back by {clock(report.back_at_latest)}"),
        ("I told (name, telephone)", ""),
        ("Call for help if not back by", ""),
        ("Whom to call", ""),
        ("Car, plate", ""),
        ("Who walks with me", ""),
    ]
    table = Table(
        [[para(what, SMALL), para(words, STRONG) if words else ""] for what, words in rows],
        colWidths=[0.3 * width_mm * MM, 0.7 * width_mm * MM],
        rowHeights=[18.0] * len(rows),
        hAlign="LEFT",
    )
    table.setStyle(TableStyle([*RULED, FONT, ("LINEBELOW", (0, 0), (-1, -1), 0.6, HexColor(COLOURS["text"]))]))
    return table
