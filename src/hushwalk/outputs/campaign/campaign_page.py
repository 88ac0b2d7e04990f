"""The map page of a campaign: the walks of all days on one map, in one file without a network.

The map itself is drawn as on the page of a morning, by html_map.py and page_layers.py; each day has a page of its own.
"""

from typing import Any

import numpy as np
from markupsafe import Markup
from shapely import LineString

from hushwalk.campaign.campaign_plan import Campaign, PlannedDay
from hushwalk.morning.report import Report, Stop
from hushwalk.outputs.kit.html_map import drawn_map
from hushwalk.outputs.kit.map_layer import MapLayer, line
from hushwalk.outputs.kit.map_symbols import ground_symbols, style_symbol
from hushwalk.outputs.kit.page_layers import ground_layers, plain_drawing
from hushwalk.outputs.kit.palette import BANDS, COLOURS
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.outputs.walk.walk_page import StaticMap, filled, kinds_shown, scene_data
from hushwalk.types import FloatArray
from hushwalk.wording.campaign_words import campaign_sentences, day_words
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.formats import clock, north_sentence

NO_BREAK = "\N{NO-BREAK SPACE}"
DASHES = ("", "9 4", "2 4", "12 3 2 3")
"""Judgement: days take turns, so that two that follow each other are told apart in grey too."""
Numbered = list[tuple[PlannedDay, Stop]]


def campaign_page(campaign: Campaign) -> str:
    """Draw a campaign as one HTML page, on the ground of its first day.

    Parameters
    ----------
    campaign : days planned together; those from a place of the car that lies off that ground are told in words only.

    Returns
    -------
    str
        A page like that of a morning: it asks for nothing outside itself and says the same without scripts.
    """
    scene = campaign.days[0].report
    shown = [day for day in campaign.days if _on(scene, day)]
    stops = [(day, stop) for day in shown for stop in day.report.stops]
    layers = _layers(scene, shown)
    made = drawn_map(scene, layers)
    pins = [("", scene.car.xy_m), *((str(k), stop.place.xy_m) for k, (_, stop) in enumerate(stops, start=1))]
    drawing = plain_drawing(layers, pins, lambda xy: made.frame.place(on_page(scene.grid, xy)), made.frame.size_px)
    static = StaticMap(made.frame, made.pictures, drawing)
    words = _words(campaign, scene, shown, stops)
    return filled("campaign.html", _data(scene, shown, stops), words, static, made.html, made.script)


def _on(scene: Report, day: PlannedDay) -> bool:
    lines = [scene.grid.contains(leg.line_m).all() for leg in day.report.legs]
    return day.report.grid.epsg == scene.grid.epsg and all(lines)


def _lines(day: PlannedDay) -> list[FloatArray]:
    return [leg.line_m for leg in day.report.legs if len(leg.line_m) > 1]


def _layers(scene: Report, days: list[PlannedDay]) -> tuple[MapLayer, ...]:
    walks = []
    for k, day in enumerate(days):
        legs = tuple(LineString(one) for one in _lines(day))
        walks += [(line(COLOURS["casing"], 7), legs), (line(COLOURS["walk"], 3, DASHES[k % len(DASHES)]), legs)]
    return (
        *ground_layers(scene),
        MapLayer("walk", "The walks", tuple(walks)),
        MapLayer("stops", "Stops and days", ()),
    )


def _data(scene: Report, days: list[PlannedDay], stops: Numbered) -> dict[str, Any]:
    return {
        **scene_data(scene, [line_m for day in days for line_m in _lines(day)] or [np.array([scene.car.xy_m])]),
        "car": {"at": [scene.car.lat_deg, scene.car.lon_deg], "rows": [["place", scene.car.usng]]},
        "stops": [
            {
                "at": [stop.place.lat_deg, stop.place.lon_deg],
                "number": k,
                "arrive": _day(day),
                "title": f"{stop.place.name} of {_day(day)}, {clock(stop.arrive)} to {clock(stop.leave)}",
                "rows": [["place", stop.place.usng]],
                "why": [],
            }
            for k, (day, stop) in enumerate(stops, start=1)
        ],
        "found": [],
    }


def _day(day: PlannedDay) -> str:
    more = [*(["evening"] if day.evening else []), *([day.person] if day.person else [])]
    return ", ".join([f"{day.day.day}{NO_BREAK}{day.day:%b}", *more])


def _words(campaign: Campaign, scene: Report, shown: list[PlannedDay], stops: Numbered) -> dict[str, Any]:
    styles = [
        (line(COLOURS["walk"], 3, DASHES[k % len(DASHES)]), f"walk of {_day(day)}") for k, day in enumerate(shown)
    ]
    symbols = [*(style_symbol(style, words) for style, words in styles), *ground_symbols()]
    return {
        "title": campaign.title,
        "whole": "All walks",
        "date": ", ".join(dict.fromkeys(f"{day.day:%A} {day.day.day} {day.day:%B}" for day in campaign.days)),
        "species": scene.species,
        "headline": (
            ("days", str(len({day.day for day in campaign.days}))),
            ("males together", f"{campaign.males:.1f}"),
            *((_day(day), f"{day.new_males:.1f} new") for day in campaign.days),
        ),
        "promise": campaign_sentences(campaign)[0],
        "sentences": campaign_sentences(campaign)[1:],
        "days": [day_words(day) for day in campaign.days],
        "elsewhere": [day_words(day) for day in campaign.days if day not in shown],
        "stops": [
            {
                "number": k,
                "day": _day(day),
                "name": stop.place.name,
                "arrive": clock(stop.arrive),
                "leave": clock(stop.leave),
            }
            for k, (day, stop) in enumerate(stops, start=1)
        ],
        "north": north_sentence(scene.north),
        "found": [],
        "bands": BANDS,
        "symbols": [(Markup(symbol), words) for symbol, words in symbols],  # noqa: S704 - ours
        "kinds": kinds_shown(scene),
        "cautions": caution_sentences(scene.cautions),
    }
