"""A search for the receiver and for other tools: GPX 1.1 with a track an area, and GeoJSON (RFC 7946).

How names and tracks are cut for old receivers is gpx.py's business.
"""

import json

import gpxpy.gpx
import numpy as np
from shapely import LineString
from shapely.geometry import Point, mapping

from hushwalk.birds.search.planned_search import SearchLeg, SearchReport
from hushwalk.grid.points import to_lonlat
from hushwalk.grid.polyline import rings_area
from hushwalk.outputs.kit.detection_layers import bird_rows, log_rows
from hushwalk.outputs.walk.gpx import (
    CAR_SYMBOL,
    CREATOR,
    STOP_SYMBOL,
    GpxLimits,
    clean,
    found_waypoints,
    split,
    straightened,
    utc,
    waypoint,
)
from hushwalk.outputs.walk.walk_data import in_degrees
from hushwalk.site.country import Geometry
from hushwalk.types import FloatArray
from hushwalk.wording.credit_words import credit_line
from hushwalk.wording.formats import clock, percent
from hushwalk.wording.search_words import ground_words, left_out_words, search_rules


def search_gpx_text(report: SearchReport, limits: GpxLimits | None = None) -> str:
    """Write the search as GPX 1.1.

    Parameters
    ----------
    report : the search.
    limits : of the receiver; longer tracks are split.

    Returns
    -------
    str
        XML: the car, the places where areas begin, birds and logs as waypoints; a route over the areas; for every area
        a track to it and a track through it.

    References
    ----------
    gpx_1_1
    """
    limits, search = limits or GpxLimits(), report.search
    made = gpxpy.gpx.GPX()
    made.creator = CREATOR
    made.name = clean(f"Search: {report.title}")
    rules = (f"Late-morning search, {report.day:%d %B %Y}.", *search_rules(search.params))
    made.description = clean(" ".join([*rules, credit_line(report.country.credits)]))
    made.time = utc(search.not_before)
    back = f"back {clock(search.back)}, by {clock(search.back_by)}"
    made.waypoints = [waypoint(report.car, "CAR", back, CAR_SYMBOL, "car", search.back)]
    for leg in search.legs:
        words = f"{leg.bird} {clock(leg.arrive)}-{clock(leg.leave)}, {ground_words(leg)}, {percent(leg.chance)}"
        made.waypoints.append(waypoint(leg.entry, f"S{leg.number}", words, STOP_SYMBOL, "search", leg.arrive))
    made.waypoints += found_waypoints(report.detections, limits)
    made.routes = [_route(report)]
    lines = [(f"{what}{leg.number}", line) for leg in search.legs for what, line in _ways(leg.approach_m, leg.path_m)]
    lines.append(("BACK", search.way_back_m))
    made.tracks = [track for name, line in lines if len(line) > 1 for track in _tracks(report, name, line, limits)]
    return str(made.to_xml(version="1.1"))


def search_geojson_text(report: SearchReport) -> str:
    """Write areas, paths, birds' grounds and logs as one feature collection in longitude and latitude.

    References
    ----------
    rfc_7946
    """
    search, found = report.search, report.detections
    features: list[dict[str, object]] = []

    def add(kind: str, shape: Geometry, **fields: object) -> None:
        words = mapping(in_degrees(report, shape))
        features.append({"type": "Feature", "geometry": words, "properties": {"kind": kind, **fields}})

    add("car", Point(report.car.xy_m), name="CAR", back=search.back.isoformat())
    for leg in search.legs:
        times = {"arrive": leg.arrive.isoformat(), "leave": leg.leave.isoformat(), **_odds(leg)}
        size = {"bird": leg.bird, "area_ha": round(leg.area_ha, 3), "twice_ha": round(leg.twice_ha, 3)}
        add("area", rings_area(leg.rings), name=f"S{leg.number}", **size, **times)
        for what, line in _ways(leg.approach_m, leg.path_m):
            if len(line) > 1:
                add("way" if what == "TO" else "path", LineString(line), name=f"S{leg.number}")
    if len(search.way_back_m) > 1:
        add("way back", LineString(search.way_back_m), name="BACK")
    for bird in found.birds:
        for ground in bird.grounds:
            size = {"chance": ground.share, "area_ha": round(ground.area_ha, 2)}
            add("ground", rings_area(ground.rings), name=bird.name, **size)
        add("bird", Point(bird.middle.xy_m), name=bird.name, text="; ".join(": ".join(row) for row in bird_rows(bird)))
    for log in found.logs:
        add("log", Point(log.place.xy_m), name=log.name, text="; ".join(": ".join(row) for row in log_rows(log)))
    return json.dumps({"type": "FeatureCollection", "features": features}, indent=1, allow_nan=False) + "\n"


def search_summary_text(report: SearchReport) -> str:
    """Write the search as JSON: what was planned and taken for true, with the lines that `--walked` notes."""
    search, effort = report.search, report.search.params.effort
    areas = [
        {
            "number": leg.number,
            "bird": leg.bird,
            "also": list(leg.also),
            "arrive": leg.arrive.isoformat(),
            "leave": leg.leave.isoformat(),
            **_odds(leg),
            "area_ha": round(leg.area_ha, 3),
            "twice_ha": round(leg.twice_ha, 3),
            "path_lonlat": np.round(to_lonlat(report.grid.epsg, leg.path_m), 6).tolist(),
        }
        for leg in search.legs
    ]
    summary = {
        "title": report.title,
        "day": report.day.isoformat(),
        "not_before": search.not_before.isoformat(),
        "back": search.back.isoformat(),
        "back_by": search.back_by.isoformat(),
        "logs_expected": round(search.logs_expected, 3),
        "seen_from_m": effort.seen_from_m,
        "sweep_m": round(effort.sweep_m, 2),
        "strip_m": effort.strip_m,
        "pace_ms": effort.pace_ms,
        "earlier_searches": search.searched_before,
        "areas": areas,
        "left_out": [{"bird": bird.bird, "why": left_out_words(bird)} for bird in search.left_out],
    }
    return json.dumps(summary, indent=1, allow_nan=False) + "\n"


def _odds(leg: SearchLeg) -> dict[str, float]:
    return {"chance": round(leg.chance, 3), "logs": round(leg.logs, 3)}


def _ways(approach_m: FloatArray, path_m: FloatArray) -> tuple[tuple[str, FloatArray], tuple[str, FloatArray]]:
    return ("TO", approach_m), ("AREA", path_m)


def _route(report: SearchReport) -> gpxpy.gpx.GPXRoute:
    search = report.search
    route = gpxpy.gpx.GPXRoute(name="SEARCH", number=1)
    spots = [("START", search.start), *((f"S{leg.number}", leg.entry) for leg in search.legs), ("CAR", report.car)]
    for name, spot in spots:
        point = gpxpy.gpx.GPXRoutePoint(latitude=round(spot.lat_deg, 7), longitude=round(spot.lon_deg, 7), name=name)
        route.points.append(point)
    return route


def _tracks(report: SearchReport, name: str, line_m: FloatArray, limits: GpxLimits) -> list[gpxpy.gpx.GPXTrack]:
    lonlat = np.round(to_lonlat(report.grid.epsg, straightened(line_m, limits.tolerance_m)), 7)
    points = [gpxpy.gpx.GPXTrackPoint(latitude=float(lat), longitude=float(lon)) for lon, lat in lonlat]
    parts = split(points, limits.track_points)
    tracks = []
    for number, part in enumerate(parts, start=1):
        track = gpxpy.gpx.GPXTrack(name=f"{name}{chr(64 + number)}" if len(parts) > 1 else name)
        track.segments.append(gpxpy.gpx.GPXTrackSegment(part))
        tracks.append(track)
    return tracks
