"""The map page of a search: areas in order, the path through each, the rules, all in one file without a network.

The map itself is drawn as on the page of a morning, by html_map.py and page_layers.py.
"""

from typing import Any

from markupsafe import Markup

from hushwalk.birds.search.planned_search import Search, SearchLeg, SearchReport
from hushwalk.outputs.kit.detection_layers import (
    detection_layers,
    detection_pins,
    detection_symbols,
    leg_rows,
    search_layers,
)
from hushwalk.outputs.kit.html_map import drawn_map
from hushwalk.outputs.kit.map_layer import MapLayer
from hushwalk.outputs.kit.map_symbols import box, ground_symbols, stroke, style_symbol
from hushwalk.outputs.kit.page_layers import ground_layers, plain_drawing, walk_parts
from hushwalk.outputs.kit.palette import BANDS, COLOURS
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.outputs.walk.walk_page import StaticMap, filled, kinds_shown, scene_data
from hushwalk.text import counted
from hushwalk.types import FloatArray
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.credit_words import credit_line, credit_sentences
from hushwalk.wording.formats import bearing, clock, compass_point, north_sentence, percent, sentence
from hushwalk.wording.measures import distance
from hushwalk.wording.search_words import assumed_words, ground_words, left_out_lines, search_rules


def search_page(report: SearchReport) -> str:
    """Draw the search as one HTML page.

    Parameters
    ----------
    report : the search.

    Returns
    -------
    str
        A page like that of a morning: it asks for nothing outside itself and says the same without scripts.
    """
    layers = _layers(report)
    made = drawn_map(report, layers)
    pins = [("", report.car.xy_m), *((str(leg.number), leg.entry.xy_m) for leg in report.search.legs)]
    drawing = plain_drawing(layers, pins, lambda xy: made.frame.place(on_page(report.grid, xy)), made.frame.size_px)
    shown = StaticMap(made.frame, made.pictures, drawing)
    return filled("search.html", _data(report), _words(report), shown, made.html, made.script)


def search_lines(search: Search) -> list[FloatArray]:
    """Give the ways to the areas of a search, in order; lines through them and the way back are drawn apart."""
    return [leg.approach_m for leg in search.legs if len(leg.approach_m) > 1]


def search_headline(search: Search) -> tuple[tuple[str, str], ...]:
    """Give the search in four times: what a tired person looks for first."""
    first = search.legs[0].arrive if search.legs else None
    return (
        ("begin, not earlier", clock(search.not_before)),
        ("first area", clock(first)),
        ("back at the car", clock(search.back)),
        ("promised back by", clock(search.back_by)),
    )


def search_promise(search: Search) -> str:
    """Say in one line what the search is and what it may find."""
    count = len(search.legs)
    if not count:
        return "No area can be reached, searched and left in the time there is."
    words = assumed_words(search)
    areas = counted(count, "area")
    return f"{areas}. Expect to find {search.logs_expected:.1f} logs: {words}."


def leg_words(leg: SearchLeg) -> str:
    """Say how one comes to an area."""
    towards = f"{compass_point(leg.azimuth_deg)} {bearing(leg.magnetic_deg)} compass"
    return f"to area {leg.number}: {distance(leg.distance_m)}, {leg.minutes:.0f} min, {towards}"


def _layers(report: SearchReport) -> tuple[MapLayer, ...]:
    return (
        *ground_layers(report),
        *search_layers(report.search),
        *detection_layers(report.detections),
        MapLayer("walk", "The search", walk_parts(search_lines(report.search))),
        MapLayer("stops", "Areas and times", ()),
    )


def _data(report: SearchReport) -> dict[str, Any]:
    search, car = report.search, report.car
    return {
        **scene_data(report, search_lines(search)),
        "car": {"at": [car.lat_deg, car.lon_deg], "rows": [["back", clock(search.back)], ["place", car.usng]]},
        "stops": [
            {
                "at": [leg.entry.lat_deg, leg.entry.lon_deg],
                "number": leg.number,
                "arrive": clock(leg.arrive),
                "title": _title(leg),
                "rows": leg_rows(leg),
                "why": [],
            }
            for leg in search.legs
        ],
        "found": detection_pins(report.detections),
    }


def _title(leg: SearchLeg) -> str:
    return f"Area {leg.number} ({leg.bird}), {clock(leg.arrive)} to {clock(leg.leave)}"


def _words(report: SearchReport) -> dict[str, Any]:
    search = report.search
    symbols = [
        (stroke(COLOURS["walk"], 4), "the search, arrows show the way"),
        (box("url(#ground)", COLOURS["bird"]), "an area to search"),
        (stroke(COLOURS["walk"], 1.4), "lines to walk through it"),
        *(style_symbol(style, words) for style, words in detection_symbols(report.detections)),
        *ground_symbols(),
    ]
    return {
        "title": report.title,
        "whole": "Whole search",
        "date": f"{report.day:%A} {report.day.day} {report.day:%B %Y}",
        "species": report.species,
        "headline": search_headline(search),
        "promise": search_promise(search),
        "rules": search_rules(search.params),
        "stops": [
            {
                "number": leg.number,
                "way": leg_words(leg),
                "arrive": clock(leg.arrive),
                "leave": clock(leg.leave),
                "bird": ", ".join((leg.bird, *leg.also)),
                "ground": ground_words(leg),
                "chance": percent(leg.chance),
            }
            for leg in search.legs
        ],
        "back": clock(search.back),
        "left_out": list(left_out_lines(search.left_out)),
        "north": north_sentence(report.north),
        "found": detection_pins(report.detections),
        "bands": BANDS,
        "symbols": [(Markup(symbol), words) for symbol, words in symbols],  # noqa: S704 - ours
        "kinds": kinds_shown(report),
        "cautions": caution_sentences(report.cautions),
        "notices": [sentence(line) for line in report.notices],
        "credits": [sentence(line) for line in credit_sentences(report.country.credits)],
        "credit_line": credit_line(report.country.credits),
    }
