"""The walk as data: GeoJSON (RFC 7946) and a summary in JSON.

GeoPackage and KML have their own files.
"""

import json
from dataclasses import asdict
from datetime import datetime
from typing import Any

import numpy as np
from shapely import LineString, get_coordinates, set_coordinates
from shapely.geometry import mapping
from shapely.geometry.polygon import orient

from hushwalk.grid.points import to_lonlat
from hushwalk.grid.polyline import rings_area
from hushwalk.morning.report import Leg, Report, Robustness, Stop
from hushwalk.outputs.walk.closing_data import closing_fields
from hushwalk.outputs.walk.day_data import day_fields
from hushwalk.outputs.walk.going_data import going_fields
from hushwalk.outputs.walk.notes_data import notes_fields, wish_fields
from hushwalk.site.country import Geometry
from hushwalk.site.place import Place
from hushwalk.site.scene import Scene
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.formats import way_sentence
from hushwalk.wording.morning_words import (
    assumption_sentences,
    noise_words,
    notice_sentences,
    plain_walk_words,
    proof_words,
    reason_words,
)
from hushwalk.wording.robustness_words import robustness_words

SCHEMA = "hushwalk summary 2"
Json = dict[str, Any]


def geojson_text(report: Report) -> str:
    """Write car, stops, legs, earshot and ways back as one feature collection.

    Returns
    -------
    str
        JSON in longitude and latitude on WGS 84, seven decimals, outer rings anticlockwise, no ``crs`` member.

    References
    ----------
    rfc_7946
    """
    features = [
        _feature(report, "car", _place(report.car), {"name": "CAR", **_times(report.depart, report.back)}),
        *(_feature(report, "stop", _place(stop.place), stop_fields(stop)) for stop in report.stops),
        *(_feature(report, "leg", LineString(leg.line_m), leg_fields(leg)) for leg in report.legs),
        *(
            _feature(report, "earshot", rings_area(stop.earshot), {"name": stop.place.name, "chance": 0.5})
            for stop in report.stops
            if stop.earshot
        ),
        *(_feature(report, "way back", LineString(line), {"name": name}) for name, line in report.bail_outs),
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}, indent=1, allow_nan=False) + "\n"


def stop_fields(stop: Stop) -> Json:
    """Everything told of a stop, flat, with units in the names."""
    return {
        "name": stop.place.name,
        "number": stop.number,
        "arrive": stop.arrive.isoformat(),
        "leave": stop.leave.isoformat(),
        "latest_leave": stop.latest_leave.isoformat() if stop.latest_leave else None,
        "chance_any": _round(stop.chance_any, 3),
        "males_expected": _round(stop.males_expected, 3),
        "listen_towards_deg": _round(stop.listen_towards_deg, 1),
        "listen_towards_magnetic_deg": _round(stop.listen_towards_magnetic_deg, 1),
        "earshot_m": _round(stop.earshot_m, 1),
        "bail_out_minutes": _round(stop.bail_out_minutes, 1),
        "noise": noise_words(stop.noise),
        "why": "; ".join(reason_words(stop)),
        "usng": stop.place.usng,
        "utm": stop.place.utm,
        "elevation_m": _round(stop.place.elevation_m, 1),
    }


def leg_fields(leg: Leg) -> Json:
    """Everything told of a leg, flat, with units in the names."""
    return {
        "start": leg.start,
        "end": leg.end,
        "depart": leg.depart.isoformat(),
        "arrive": leg.arrive.isoformat(),
        "length_m": _round(leg.length_m, 1),
        "climb_m": _round(leg.climb_m, 1),
        "descent_m": _round(leg.descent_m, 1),
        "azimuth_deg": _round(leg.azimuth_deg, 1),
        "magnetic_deg": _round(leg.magnetic_deg, 1),
        "on_trail_share": _round(leg.on_trail_share, 3),
        "fords": leg.fords,
        "wet_m": _round(leg.wet_m, 0),
        "note": ""
        if leg.on_trail_share is None
        else way_sentence(leg.length_m, leg.on_trail_share, leg.fords, leg.bridges, leg.wet_m),
    }


def summary(report: Report) -> Json:
    """Give the morning in figures. It holds stops, times and likely ground, and nowhere the place of a bird."""
    males, plain, proof = report.males, report.plain, report.proof
    return {
        "schema": SCHEMA,
        "title": report.title,
        "species": report.species,
        "date": report.depart.date().isoformat(),
        "car": {"lon_deg": report.car.lon_deg, "lat_deg": report.car.lat_deg, "usng": report.car.usng},
        "start": None if report.start is None else {"lon_deg": report.start.lon_deg, "lat_deg": report.start.lat_deg},
        "reserve": report.settings.walker.reserve,
        **_times(report.depart, report.back),
        "back_by": report.robustness.back_by.isoformat() if report.robustness else None,
        "civil_dawn": _iso(report.sun.civil_dawn),
        "sunrise": _iso(report.sun.sunrise),
        **_evening(report),
        "length_m": _round(report.length_m, 1),
        "climb_m": _round(report.climb_m, 1),
        "males": {
            name: _round(getattr(males, name), 3)
            for name in ("expected", "low", "high", "focal", "middle", "pessimistic")
        },
        "males_passed": None if report.males_passed is None else _round(report.males_passed, 3),
        "plain_walk": {
            "words": plain_walk_words(plain),
            "stops": plain.stops,
            "males_expected": _round(plain.males_expected, 3),
            "length_m": _round(plain.length_m, 1),
        },
        "proof": {
            "sentence": proof_words(proof),
            "bound": _round(proof.bound, 4),
            "gap": _round(proof.gap, 4),
            "of_bouts": _round(proof.of_bouts, 4),
            "posts": proof.posts,
        },
        **wish_fields(report.wish_effect),
        **notes_fields(report.notes_effect),
        "day": day_fields(report.expected),
        **going_fields(report),
        **robustness_fields(report.robustness),
        "closing_in": closing_fields(report.closing),
        "declination_deg": _round(report.north.declination_deg, 2),
        "convergence_deg": _round(report.north.convergence_deg, 2),
        "stops": [
            {
                **stop_fields(stop),
                "wait_minutes": _round(stop.wait_minutes, 1),
                "until_light_minutes": _round(stop.until_light_minutes, 1),
                "lon_deg": stop.place.lon_deg,
                "lat_deg": stop.place.lat_deg,
            }
            for stop in report.stops
        ],
        "legs": [leg_fields(leg) for leg in report.legs],
        **_crossings(report),
        "budget_curve": [[_round(minutes, 1), _round(heard, 3)] for minutes, heard in report.budget_curve],
        **_sentences(report),
        **{name: fact and asdict(fact) for name, fact in (("region", report.region), ("passage", report.passage))},
        "seed": report.settings.seed,
    }


def _crossings(report: Report) -> Json:
    """Stops of the same minutes as those of a second person; the walk of one alone says nothing of them."""
    facts = [
        {
            "stop": one.stop,
            "person": one.person,
            "other_stop": one.other_stop,
            "begin": one.begin.isoformat(),
            "end": one.end.isoformat(),
            "apart_m": _round(one.apart_m, 1),
            "azimuth_deg": _round(one.azimuth_deg, 1),
            "magnetic_deg": _round(one.magnetic_deg, 1),
            "angle_deg": one.angle_deg and [_round(angle, 1) for angle in one.angle_deg],
        }
        for one in report.crossings
    ]
    return {"crossings": facts} if facts else {}


def _evening(report: Report) -> Json:
    """Sunset and dusk, and that the walk is one of the evening; a morning says nothing of them."""
    if report.evening is None:
        return {}
    hours = {key: value for key, value in asdict(report.evening).items() if value is not None}
    dusk = {"sunset": _iso(report.sun.sunset), "civil_dusk": _iso(report.sun.civil_dusk)}
    return {"part_of_day": "evening", **dusk, "evening": hours}


def _sentences(report: Report) -> Json:
    return {
        "notices": list(notice_sentences(report)),
        "assumptions": list(assumption_sentences(report)),
        "credits": list(credit_sentences(report.country.credits)),
    }


def robustness_fields(robustness: Robustness | None) -> Json:
    """What to leave out when late, what delays cost, and the best place left out, with their words."""
    if robustness is None:
        return {"leave_out": [], "delays": [], "best_left_out": None, "robustness_words": []}
    place = robustness.not_visited
    return {
        "leave_out": [{"stop": one.stop, "males_lost": _round(one.males_lost, 3)} for one in robustness.leave_out],
        "delays": [
            {"kind": d.kind, "amount": d.amount, "lost": _round(d.lost, 4), "leave_out": list(d.left_out)}
            for d in robustness.delays
        ],
        "best_left_out": None if place is None else {"usng": place.usng, "lost": place.lost and _round(place.lost, 4)},
        "robustness_words": list(robustness_words(robustness)),
    }


def summary_text(report: Report) -> str:
    """Write the summary as JSON."""
    return json.dumps(summary(report), indent=1, allow_nan=False) + "\n"


def in_degrees(scene: Scene, shape: Geometry) -> Geometry:
    """Turn a shape from the grid of the trip to longitude and latitude, seven decimals, outer rings anticlockwise."""
    points = get_coordinates(shape)
    turned = set_coordinates(shape, np.round(to_lonlat(scene.grid.epsg, points), 7)) if len(points) else shape
    if turned.geom_type == "Polygon":
        return orient(turned)
    if turned.geom_type == "MultiPolygon":
        return type(turned)([orient(part) for part in turned.geoms])
    return turned


def _feature(report: Report, kind: str, shape: Geometry, fields: Json) -> Json:
    if not isinstance(shape, dict):
        shape = mapping(in_degrees(report, shape))
    return {"type": "Feature", "geometry": shape, "properties": {"kind": kind, **fields}}


def _place(place: Place) -> Json:
    return {"type": "Point", "coordinates": [round(place.lon_deg, 7), round(place.lat_deg, 7)]}


def _times(depart: datetime, back: datetime) -> Json:
    return {"depart": depart.isoformat(), "back": back.isoformat()}


def _iso(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _round(value: float | None, digits: int) -> float | None:
    """Round; what is unknown or endless has no number in JSON."""
    return None if value is None or not np.isfinite(value) else round(float(value), digits)
