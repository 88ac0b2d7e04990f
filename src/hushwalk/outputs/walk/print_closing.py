"""The sheet's page of closing in: times and ways by stop, what is kept free, and the card of how to close in.

The other pages of words are print_tables.py's.
"""

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import CondPageBreak, KeepTogether, Paragraph, Spacer, Table, TableStyle

from hushwalk.morning.closing_in import ClosingIn, LikelyGround, StopClosing
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.kit.paper import MM
from hushwalk.outputs.kit.pen import BOLD
from hushwalk.outputs.walk.print_tables import FONT, HEAD, RULED, SMALL, Flow, boxed, para
from hushwalk.wording.card_of_bearings import CLOSING, closing_lines, conduct_lines
from hushwalk.wording.closing_words import closing_summary, first_light_words, try_words, without_words
from hushwalk.wording.formats import bearing, compass_point
from hushwalk.wording.measures import distance
from hushwalk.wording.robustness_words import left_out_order

LEAST_PT = 500.0  # judgement: with less room than this left on a page it begins on the next [pt]
REST_PT, STOP_PT, GROUND_PT = 250.0, 20.0, 11.9  # judgement: heights of head and card, of a stop, of a line [pt]
LEFT_OUT = 3  # judgement: so many fit into the line of a stop; the whole order stands above the table
SHARES = (0.12, 0.08, 0.08, 0.1, 0.1, 0.08, 0.18, 0.08, 0.18)


def closing_flow(report: Report, width_mm: float, height_mm: float) -> Flow:
    """Set the page of closing in; nothing where it is not spoken of.

    Parameters
    ----------
    report : the morning.
    width_mm, height_mm : room on a page; a stop shows as many lines of likely ground as one page holds [mm].

    Returns
    -------
    list
        For the setter.
    """
    closing = report.closing
    if closing is None:
        return []
    return [
        CondPageBreak(LEAST_PT),
        para("Closing in and second bearings", HEAD),
        *[para(line, SMALL) for line in closing_summary(closing, times_apart=True, compared=False)],
        *([para(left_out_order(report.robustness), SMALL)] if report.robustness else []),
        Spacer(1, 3),
        *([_table(report, closing, width_mm, _shown(closing, height_mm))] if closing.stops else []),
        Spacer(1, 6),
        KeepTogether(boxed(CLOSING, (*closing_lines(), *conduct_lines()), width_mm)),
    ]


def _shown(closing: ClosingIn, height_mm: float) -> int:
    """Lines of likely ground at a stop: three, or fewer where one page does not hold them, but one at the least."""
    left_pt = height_mm * MM - REST_PT - STOP_PT * len(closing.stops)
    lines = (sum(min(most, len(one.grounds)) for one in closing.stops) * GROUND_PT for most in (3, 2))
    return next((most for most, need_pt in zip((3, 2), lines, strict=True) if need_pt <= left_pt), 1)


def _table(report: Report, closing: ClosingIn, width_mm: float, shown: int) -> Table:
    head = [
        "likely ground",
        "about",
        "in by the",
        "set off",
        "walk",
        "minutes",
        "stop at",
        "face",
        "bearing from the side",
    ]
    rows: list[list[Any]] = [[para(word, SMALL) for word in head]]
    style = [*RULED, FONT, ("LINEBELOW", (0, 0), (-1, 0), 1, HexColor(COLOURS["text"]))]
    style += [("TOPPADDING", (0, 0), (-1, -1), 0.6), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2)]
    leaves = {stop.place.name: stop.leave for stop in report.stops}
    for one in closing.stops:
        style += [("SPAN", (0, len(rows)), (-1, len(rows))), ("BACKGROUND", (0, len(rows)), (-1, len(rows)), "#eeeeee")]
        light = first_light_words(one.times, leaves[one.stop]) if one.stop in leaves else ""
        rows.append([_stop_words(one, closing, light), *[""] * (len(head) - 1)])
        rows += [_ground_row(ground) for ground in one.grounds[:shown]]
    table = Table(rows, colWidths=[share * width_mm * MM for share in SHARES], repeatRows=1, hAlign="LEFT")
    table.setStyle(TableStyle(style))
    return table


def _stop_words(one: StopClosing, closing: ClosingIn, light: str) -> Paragraph:
    """The stop, until when a try may begin there, and what to leave out later."""
    tried = f"close in: {words}" if (words := try_words(one.times, closing.better_before)) else ""
    later = f"later without {words}" if (words := without_words(one.times, LEFT_OUT)) else ""
    rest = "; ".join(words for words in (light, later) if words)
    lead = f'<font name="{BOLD}" size="9.5">{one.stop}</font> <font name="{BOLD}">{tried}</font>'
    return Paragraph(f"{lead}{'; ' if tried and rest else ''}{rest}", SMALL)


def _ground_row(ground: LikelyGround) -> list[Any]:
    way, stand = ground.way_in, ground.side_stand
    side = ground.crossed_from or ""
    if not side and stand is not None:
        side = f"{bearing(stand.go_magnetic_deg)} {distance(stand.length_m)}, face {bearing(stand.face_magnetic_deg)}"
    cells = [
        f"{compass_point(ground.towards_deg)} {bearing(ground.towards_magnetic_deg)}",
        distance(ground.distance_m),
        "" if way is None else way.side.value,
        "" if way is None else bearing(way.set_off_magnetic_deg),
        "no quiet way" if way is None else distance(way.length_m),
        "" if way is None else f"{way.minutes:.0f}",
        "" if way is None else way.end.usng,
        "" if way is None else bearing(way.face_magnetic_deg),
        side,
    ]
    return [para(words, SMALL) if words else "" for words in cells]
