"""The map page of a season: days listened, birds, logs, ground searched and ground unheard, without a network.

The map itself is drawn as on the page of a morning, by html_map.py and page_layers.py.
"""

from typing import Any

import numpy as np
from markupsafe import Markup
from shapely import LineString

from hushwalk.birds.bird_report import SeasonMale
from hushwalk.grid.polyline import rings_area
from hushwalk.outputs.kit.detection_layers import detection_layers, detection_pins, detection_symbols
from hushwalk.outputs.kit.html_map import drawn_map
from hushwalk.outputs.kit.map_layer import MapLayer, area, line
from hushwalk.outputs.kit.map_symbols import box, ground_symbols, stroke, style_symbol
from hushwalk.outputs.kit.page_layers import ground_layers, plain_drawing
from hushwalk.outputs.kit.palette import BANDS, COLOURS
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.outputs.walk.walk_page import StaticMap, filled, kinds_shown, scene_data
from hushwalk.season.season_map import ListenedStop, SeasonMap
from hushwalk.season.story import Season
from hushwalk.types import FloatArray
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.formats import north_sentence
from hushwalk.wording.measures import small_area
from hushwalk.wording.season_words import male_words, season_words, stop_heard_words, sum_sentence, unheard_sentence

NO_BREAK = "\N{NO-BREAK SPACE}"
DASHES = ("", "8 4", "2 4", "10 3 2 3")
"""Judgement: days take turns, so that two that follow each other are told apart in grey too."""


def season_page(season: Season) -> str:
    """Draw a season as one HTML page.

    Parameters
    ----------
    season : with its map.

    Returns
    -------
    str
        A page like that of a morning: it asks for nothing outside itself and says the same without scripts.

    Raises
    ------
    ValueError
        If the season has no map.
    """
    chart = season.chart
    if chart is None:
        raise ValueError("a season without a map cannot be drawn")
    layers = (*ground_layers(chart), *season_layers(chart))
    made = drawn_map(chart, layers)
    pins = [("", chart.car.xy_m), *((str(k), stop.place.xy_m) for k, stop in enumerate(chart.stops, start=1))]
    drawing = plain_drawing(layers, pins, lambda xy: made.frame.place(on_page(chart.grid, xy)), made.frame.size_px)
    shown = StaticMap(made.frame, made.pictures, drawing)
    return filled("season.html", _data(chart), _words(season, chart), shown, made.html, made.script)


def walked_lines(chart: SeasonMap) -> list[FloatArray]:
    """Give for each day the straight lines from stop to stop, in the order in which one stood there [m]."""
    of_day = ([stop.place.xy_m for stop in chart.stops if stop.day == day] for day in chart.days)
    return [np.array(places) for places in of_day if len(places) > 1]


def season_layers(chart: SeasonMap) -> tuple[MapLayer, ...]:
    """Give what lies on the ground of a season, from the lowest to the topmost."""
    unheard = (rings_area(chart.unheard),) if chart.unheard else ()
    grounds = tuple(rings_area(rings) for _, rings in chart.males if rings)
    searched = tuple(LineString(one) for one in chart.searched)
    days = [
        (line(COLOURS["walk"], 3, DASHES[k % len(DASHES)]), (LineString(one),))
        for k, one in enumerate(walked_lines(chart))
    ]
    return (
        MapLayer(
            "unheard",
            "Half of the males not heard yet",
            ((area(COLOURS["grid"], "url(#ground)", 2.0, "8 4"), unheard),),
        ),
        MapLayer(
            "birds",
            "Males of the season",
            ((line(COLOURS["casing"], 4.4, opacity=0.8), grounds), (line(COLOURS["bird"], 2.0), grounds)),
        ),
        MapLayer(
            "searched",
            "Searched",
            ((line(COLOURS["casing"], 4, opacity=0.8), searched), (line(COLOURS["log"], 1.4, "1 3"), searched)),
        ),
        *detection_layers(chart.detections),
        MapLayer("walk", "Mornings, stop by stop", tuple(days)),
        MapLayer("stops", "Stops listened at", ()),
    )


def _data(chart: SeasonMap) -> dict[str, Any]:
    return {
        **scene_data(chart, walked_lines(chart)),
        "car": {"at": [chart.car.lat_deg, chart.car.lon_deg], "rows": [["place", chart.car.usng]]},
        "stops": [
            {
                "at": [stop.place.lat_deg, stop.place.lon_deg],
                "number": k,
                "arrive": f"{stop.day.day}{NO_BREAK}{stop.day:%b}",
                "title": _title(stop),
                "rows": [["listened", stop_heard_words(stop)], ["place", stop.place.usng]],
                "why": [],
            }
            for k, stop in enumerate(chart.stops, start=1)
        ],
        "found": season_pins(chart),
    }


def _title(stop: ListenedStop) -> str:
    return " ".join(["Stop", *([stop.name] if stop.name else []), f"of {stop.day.day} {stop.day:%B}"])


def season_pins(chart: SeasonMap) -> list[dict[str, Any]]:
    """Give a pin for every male and log of a season."""
    return [*(_male_pin(male) for male, _ in chart.males), *detection_pins(chart.detections)]


def _male_pin(male: SeasonMale) -> dict[str, Any]:
    name = f"male {male.number}"
    rows = [["log within", f"{small_area(male.area_ha)} (80 %)"], ["middle", male.middle.usng]]
    at = [male.middle.lat_deg, male.middle.lon_deg]
    return {
        "group": "birds",
        "face": "bird",
        "text": f"M{male.number}",
        "at": at,
        "title": name,
        "rows": rows,
        "why": [male_words(male)],
    }


def _words(season: Season, chart: SeasonMap) -> dict[str, Any]:
    days = ", ".join(f"{day.day} {day:%B}" for day in chart.days)
    symbols = [
        *(
            style_symbol(line(COLOURS["walk"], 3, dash), "stop by stop, in the order of a morning")
            for dash in DASHES[:1]
        ),
        (stroke(COLOURS["bird"], 2.0), "the log of a male is inside with a chance of 80 %"),
        (stroke(COLOURS["log"], 1.4, "1 3"), "searched"),
        (box("url(#ground)", COLOURS["grid"]), "holds half of the males that were not heard yet"),
        *(style_symbol(style, words) for style, words in detection_symbols(chart.detections)),
        *ground_symbols(houses=bool(chart.country.buildings)),
    ]
    return {
        "title": chart.title,
        "whole": "All mornings",
        "date": days,
        "species": chart.species,
        "headline": _headline(season, chart),
        "promise": sum_sentence(season.total),
        "unheard": unheard_sentence(chart),
        "lines": season_words(season).splitlines(),
        "stops": [
            {"number": k, "day": f"{stop.day.day} {stop.day:%b}", "name": stop.name, "said": stop_heard_words(stop)}
            for k, stop in enumerate(chart.stops, start=1)
        ],
        "north": north_sentence(chart.north),
        "found": season_pins(chart),
        "bands": BANDS,
        "symbols": [(Markup(symbol), words) for symbol, words in symbols],  # noqa: S704 - ours
        "kinds": kinds_shown(chart),
        "cautions": caution_sentences(chart.cautions),
    }


def _headline(season: Season, chart: SeasonMap) -> tuple[tuple[str, str], ...]:
    return (
        ("mornings", str(len(chart.days))),
        ("males known", str(len(chart.males))),
        ("logs found", str(len({log.name for log in season.logs}))),
        ("lines searched", str(len(chart.searched))),
    )
