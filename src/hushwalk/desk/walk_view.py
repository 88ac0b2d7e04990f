"""A planned walk as the desk's page reads it: stops, legs, times and words, places in degrees.

The ground below it is ground_view.py's; the words are wording's.
"""

from typing import Any

from hushwalk.morning.report import Leg, Report, Stop
from hushwalk.outputs.kit.map_layer import earshot_area
from hushwalk.outputs.kit.page_layers import as_features
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.outputs.walk.walk_page import page_data
from hushwalk.wording.formats import clock, headline, promise, sentence, walk_on
from hushwalk.wording.morning_words import proof_words
from hushwalk.wording.stop_words import stop_lines
from hushwalk.wording.wish_words import wish_sentences


def plan_view(report: Report) -> dict[str, Any]:
    """Give a planned morning as the page reads it."""
    effect = report.wish_effect
    locked = {stop: number for number, (_, stop) in enumerate(effect.must)} if effect else {}
    return {
        "headline": headline(report),
        "promise": promise(report),
        "males": {"expected": report.males.expected, "low": report.males.low, "high": report.males.high},
        "minutes": (report.back - report.depart).total_seconds() / 60,
        "length_m": report.length_m,
        "depart": clock(report.depart),
        "back": clock(report.back),
        "stops": [_stop(report, stop, locked.get(stop.place.name)) for stop in report.stops],
        "legs": [_leg(report, leg) for leg in report.legs],
        "earshot": as_features(report, [earshot_area(stop.earshot) for stop in report.stops if stop.earshot]),
        "arrows": page_data(report)["arrows"],
        "proof": sentence(proof_words(report.proof)),
        "wishes": wish_sentences(effect),
        "proven": True,
    }


def _stop(report: Report, stop: Stop, must: int | None) -> dict[str, Any]:
    return {
        "number": stop.number,
        "name": stop.place.name,
        "at": [stop.place.lat_deg, stop.place.lon_deg],
        "arrive": clock(stop.arrive),
        "leave": clock(stop.leave),
        "latest_leave": clock(stop.latest_leave),
        "minutes": (stop.leave - stop.arrive).total_seconds() / 60,
        "males": stop.males_expected,
        "chance": stop.chance_any,
        "must": must,
        "rows": stop_lines(report, stop),
    }


def _leg(report: Report, leg: Leg) -> dict[str, Any]:
    return {
        "start": leg.start,
        "end": leg.end,
        "line": on_page(report.grid, leg.line_m)[:, ::-1].tolist(),
        "minutes": leg.minutes,
        "words": walk_on(leg),
    }
