"""The GPS file: GPX 1.1 with waypoints, route and track, cleaned so that old and new receivers take it.

What is read back from a receiver is read by files/gpx_in.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TypeVar

import gpxpy.gpx
import numpy as np
from shapely import LineString

from hushwalk.birds.bird_report import Detections
from hushwalk.grid.points import to_lonlat
from hushwalk.grid.polyline import distances_along
from hushwalk.morning.report import Leg, Report, Stop
from hushwalk.site.place import Place
from hushwalk.types import FloatArray
from hushwalk.wording.closing_words import closing_at, latest_words, stop_closing_lines
from hushwalk.wording.credit_words import credit_line
from hushwalk.wording.evening_words import walk_subject
from hushwalk.wording.formats import bearing, clock, percent, walk_on
from hushwalk.wording.morning_words import WAIT_FROM_MIN, noise_words, reason_words

Item = TypeVar("Item")
CREATOR = "hushwalk"
BIRD_SYMBOL, LOG_SYMBOL = "Animal Tracks", "Pin, Red"
FURTHER_SYMBOL = "Flag, Green"
CAR_SYMBOL, STOP_SYMBOL = "Parking Area", "Flag, Blue"  # common practice: strings that many receivers know
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True)
class GpxLimits:
    """What a receiver takes. The defaults suit old handhelds; raise them for newer ones.

    Parameters
    ----------
    name_length : characters of a name (judgement from makers' pages: 10).
    route_points, track_points : most points of one route and of one track.
    tolerance_m : how far the track may be straightened [m].
    """

    name_length: int = 10
    route_points: int = 48
    track_points: int = 500
    tolerance_m: float = 2.0


def gpx_text(report: Report, limits: GpxLimits | None = None) -> str:
    """Write the walk as GPX 1.1.

    Parameters
    ----------
    report : the morning.
    limits : of the receiver; routes and tracks that are longer are split, the parts sharing their end point.

    Returns
    -------
    str
        XML. Times are the planned ones, in UTC. Names are unique, capitals and digits only.

    References
    ----------
    gpx_1_1
    """
    limits = limits or GpxLimits()
    made = gpxpy.gpx.GPX()
    made.creator = CREATOR
    made.name = clean(report.title)
    credit = credit_line(report.country.credits)
    planned = f"{walk_subject(report)}. Planned, not recorded."
    made.description = clean(f"{planned} {credit}")
    made.time = utc(report.depart)
    made.waypoints = [_car(report), *_start(report), *(_stop(report, stop, limits) for stop in report.stops)]
    made.waypoints += _unheard(report, limits)
    made.waypoints += found_waypoints(report.detections, limits) if report.detections else []
    made.routes = _routes(report, limits)
    made.tracks = _tracks(report, limits)
    return str(made.to_xml(version="1.1"))


def clean(text: str) -> str:
    r"""Take out what XML cannot hold, and fold white space.

    Examples
    --------
    >>> clean("a\x07 b\n c")
    'a b c'
    """
    return " ".join(CONTROL.sub("", text).split())


def short_name(text: str, length: int) -> str:
    """Give a name that every receiver shows: capitals and digits, cut to ``length``.

    Examples
    --------
    >>> short_name("p01-b é", 10)
    'P01B'
    """
    return re.sub(r"[^A-Z0-9]", "", text.upper())[:length]


def utc(moment: datetime) -> datetime:
    """Give the same moment in UTC, as GPX asks for."""
    return moment.astimezone(UTC)


def found_waypoints(detections: Detections, limits: GpxLimits) -> list[gpxpy.gpx.GPXWaypoint]:
    """Give a waypoint for the middle of each bird's ground, where to stand for its next bearing, and each log."""
    made = []
    for bird in detections.birds:
        name = short_name(bird.name, limits.name_length)
        sizes = ", ".join(f"{percent(ground.share)} in {ground.area_ha:.1f} ha" for ground in bird.grounds)
        made.append(waypoint(bird.middle, name, sizes, BIRD_SYMBOL, "bird", None))
        if bird.stand:
            face = f"face {bearing(bird.stand.towards_magnetic_deg)[:-1]} compass for {bird.name}"
            made.append(waypoint(bird.stand.place, f"N{name}"[: limits.name_length], face, STOP_SYMBOL, "stand", None))
    for log in detections.logs:
        lines = f"{log.role.value} of male {log.territory}, in use {percent(log.use)}, film set {percent(log.film)}"
        name = short_name(log.name, limits.name_length)
        made.append(waypoint(log.place, name, lines, LOG_SYMBOL, "log", None))
    return made


def _car(report: Report) -> gpxpy.gpx.GPXWaypoint:
    comment = f"leave {clock(report.depart)}, back {clock(report.back)}"
    if report.back_at_latest != report.back:
        comment += f", after closing in {clock(report.back_at_latest)}"
    point = waypoint(report.car, "CAR", comment, CAR_SYMBOL, "car", report.depart)
    point.description = clean("; ".join(_onward(report, report.car.name))) or None
    return point


def _start(report: Report) -> list[gpxpy.gpx.GPXWaypoint]:
    """The place where one is set down, if it is not the car."""
    if report.start is None:
        return []
    return [waypoint(report.start, "START", f"leave {clock(report.depart)}", STOP_SYMBOL, "start", report.depart)]


def _onward(report: Report, name: str) -> list[str]:
    """Tell the leg that begins at a place, with what waits on it: streams to wade, bridges to look for."""
    return [f"then to {leg.end}: {walk_on(leg)}" for leg in report.legs if leg.start == name]


def _stop(report: Report, stop: Stop, limits: GpxLimits) -> gpxpy.gpx.GPXWaypoint:
    face = (
        "all round"
        if stop.listen_towards_magnetic_deg is None
        else f"face {bearing(stop.listen_towards_magnetic_deg)[:-1]} compass"
    )
    comment = f"{clock(stop.arrive)}-{clock(stop.leave)} {_try(report, stop)}{face}, {percent(stop.chance_any)}"
    if stop.latest_leave:
        comment += f", turn back by {clock(stop.latest_leave)}"
    comment += _wait_and_order(report, stop)
    point = waypoint(
        stop.place, short_name(stop.place.name, limits.name_length), comment, STOP_SYMBOL, "stop", stop.arrive
    )
    closing = (f"{what}: {words}" for what, words in stop_closing_lines(report.closing, stop.place.name, stop.leave))
    said = [*reason_words(stop), f"listen over: {noise_words(stop.noise)}", *_onward(report, stop.place.name)]
    point.description = clean("; ".join([*closing, *said]))
    return point


def _wait_and_order(report: Report, stop: Stop) -> str:
    """Say how long to wait before listening, and which in turn the stop is to be left out if time runs short."""
    wait = f", wait {stop.wait_minutes:.0f} min first" if stop.wait_minutes >= WAIT_FROM_MIN else ""
    order = [one.stop for one in report.robustness.leave_out] if report.robustness else []
    if stop.place.name not in order:
        return wait
    return f"{wait}, leave out as no. {order.index(stop.place.name) + 1} of {len(order)}"


def _try(report: Report, stop: Stop) -> str:
    """Say until when a try to close in may begin, within the first thirty characters; empty where none is planned."""
    found = closing_at(report.closing, stop.place.name)
    if report.closing is None or found is None or found.times is None:
        return ""
    until = latest_words(found.times)
    return f"try until {until}, " if until[:1].isdigit() else "no try, "


def _unheard(report: Report, limits: GpxLimits) -> list[gpxpy.gpx.GPXWaypoint]:
    """Give a waypoint for each further stop where nothing was heard."""
    unheard = report.closing.unheard if report.closing else None
    return [
        waypoint(
            stop.place,
            short_name(stop.place.name, limits.name_length),
            f"{clock(stop.arrive)}-{clock(stop.leave)} if none was heard, after {unheard.after}",
            FURTHER_SYMBOL,
            "further stop",
            stop.arrive,
        )
        for stop in (unheard.stops if unheard else ())
        if unheard
    ]


def waypoint(
    place: Place, name: str, comment: str, symbol: str, kind: str, moment: datetime | None
) -> gpxpy.gpx.GPXWaypoint:
    """Give a waypoint; ``moment`` is when one is there by plan, or None.

    Parameters
    ----------
    place : where it is.
    name : at most what a receiver shows.
    comment : words; what XML forbids is left out.
    symbol, kind : GPX ``sym`` and ``type``.
    moment : when one is there by plan, or None.

    Returns
    -------
    GPXWaypoint
        Degrees with seven decimals.
    """
    return gpxpy.gpx.GPXWaypoint(
        latitude=round(place.lat_deg, 7),
        longitude=round(place.lon_deg, 7),
        elevation=round(place.elevation_m, 1) if np.isfinite(place.elevation_m) else None,
        time=utc(moment) if moment else None,
        name=name,
        comment=clean(comment),
        symbol=symbol,
        type=kind,
    )


def _routes(report: Report, limits: GpxLimits) -> list[gpxpy.gpx.GPXRoute]:
    points = route_points(report, limits)
    routes = []
    for number, part in enumerate(split(points, limits.route_points), start=1):
        route = gpxpy.gpx.GPXRoute(name=_part_name("WALK", number, len(points) > limits.route_points), number=number)
        for name, (lon, lat) in part:
            route.points.append(gpxpy.gpx.GPXRoutePoint(latitude=lat, longitude=lon, name=name))
        routes.append(route)
    return routes


def route_points(report: Report, limits: GpxLimits) -> list[tuple[str | None, tuple[float, float]]]:
    """Car, stops and the bends between them, as names with longitude and latitude.

    A bend has no name, so that a receiver does not announce it as a stop.

    Notes
    -----
    A receiver leads straight from one route point to the next, so bends are kept down to the finest tolerance
    (5, 10, 20, 40, 80 m) that fits the limit; without room for any, only the stops remain.
    """
    ladder = (5.0, 10.0, 20.0, 40.0, 80.0)
    for tolerance_m in ladder:
        points = _with_bends(report, tolerance_m)
        if len(points) <= limits.route_points:
            return _named(report, points, limits)
    return _named(report, _with_bends(report, np.inf), limits)


def _with_bends(report: Report, tolerance_m: float) -> list[tuple[str | None, FloatArray]]:
    points: list[tuple[str | None, FloatArray]] = [(report.car.name, np.asarray(report.car.xy_m))]
    for leg in report.legs:
        bends = straightened(leg.line_m, tolerance_m)[1:-1]
        points += [(None, bend) for bend in bends]
        points.append((leg.end, leg.line_m[-1]))
    return points


def _named(
    report: Report, points: list[tuple[str | None, FloatArray]], limits: GpxLimits
) -> list[tuple[str | None, tuple[float, float]]]:
    lonlat = np.round(to_lonlat(report.grid.epsg, np.array([xy for _, xy in points])), 7)
    return [
        (None if name is None else short_name(name, limits.name_length), (float(lon), float(lat)))
        for (name, _), (lon, lat) in zip(points, lonlat, strict=True)
    ]


def straightened(line_m: FloatArray, tolerance_m: float) -> FloatArray:
    """Leave out points that move a line by less than the tolerance; its ends stay."""
    if len(line_m) < 3 or not np.isfinite(tolerance_m):  # noqa: PLR2004 - two points have no bend
        return np.asarray(line_m[[0, -1]])
    return np.asarray(LineString(line_m).simplify(tolerance_m, preserve_topology=False).coords)


def split(points: list[Item], most: int) -> list[list[Item]]:
    """Cut a list into parts of at most ``most``, each beginning where the last one ended.

    Examples
    --------
    >>> split([1, 2, 3, 4, 5], 3)
    [[1, 2, 3], [3, 4, 5]]
    """
    if len(points) <= most or most < 2:  # noqa: PLR2004 - a part needs two ends
        return [points]
    return [points[k : k + most] for k in range(0, len(points) - 1, most - 1)]


def _tracks(report: Report, limits: GpxLimits) -> list[gpxpy.gpx.GPXTrack]:
    points = [point for leg in report.legs for point in _track_points(report, leg, limits.tolerance_m)]
    tracks = []
    for number, part in enumerate(split(points, limits.track_points), start=1):
        track = gpxpy.gpx.GPXTrack(name=_part_name("TRACK", number, len(points) > limits.track_points))
        track.segments.append(gpxpy.gpx.GPXTrackSegment(part))
        tracks.append(track)
    return tracks


def _track_points(report: Report, leg: Leg, tolerance_m: float) -> list[gpxpy.gpx.GPXTrackPoint]:
    line = straightened(leg.line_m, tolerance_m)
    lonlat = np.round(to_lonlat(report.grid.epsg, line), 7)
    heights = report.country.elevation.at(line)
    walked = distances_along(line)
    share = walked / walked[-1] if walked[-1] > 0 else walked
    depart = utc(leg.depart)
    return [
        gpxpy.gpx.GPXTrackPoint(
            latitude=float(lat),
            longitude=float(lon),
            elevation=round(float(height), 1) if np.isfinite(height) else None,
            time=(depart + (leg.arrive - leg.depart) * float(part)).replace(microsecond=0),
        )
        for (lon, lat), height, part in zip(lonlat, heights, share, strict=True)
    ]


def _part_name(name: str, number: int, several: bool) -> str:
    return f"{name}{number}" if several else name
