"""The walk from the car to a log in the dark, and from where one comes to it.

The walking times themselves are the walking room's.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.filming.log_places import LogPlace
from hushwalk.filming.session_report import WalkIn
from hushwalk.grid.points import convergence_deg
from hushwalk.site.morning_clock import Clock
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.types import FloatArray
from hushwalk.walking.times import TravelTimes, travel_times

CAR = 0
LAST_M = 60.0  # judgement: the side one comes from is that of the last part of the walk


def walks_to(settings: TripSettings, site: Site, clock: Clock, places: Sequence[LogPlace]) -> TravelTimes:
    """Walking times between the car (post 0) and the logs (posts 1, 2, ...).

    Parameters
    ----------
    settings, site : of the trip.
    clock : of the morning.
    places : the logs.

    Returns
    -------
    TravelTimes

    Notes
    -----
    Logs lie off trails, so leaving the trail in the dark is taken for granted here.
    """
    way = build_walk_network(settings, site, clock)
    posts = np.array([site.car.xy_m, *(place.log.xy_m for place in places)])
    names = ["the car", *(f"log {place.name}" for place in places)]
    return travel_times(way.graph, posts, off_trail_in_the_dark=True, names=names)


def walk_in(times: TravelTimes, post: int, epsg: int) -> tuple[WalkIn, float]:
    """Give the walk to one log, and the azimuth from the log to where one comes from [deg].

    Parameters
    ----------
    times : between the car and the logs.
    post : number of the log.
    epsg : projected system of the lines.

    Returns
    -------
    tuple of WalkIn, float

    Raises
    ------
    NoPlanError
        If there is no way to the log.
    """
    line = times.path(CAR, post, dark=True)
    walk = WalkIn(
        seconds=float(times.dark_s[CAR, post]),
        back_s=float(times.day_s[post, CAR]),
        length_m=line.length_m,
        off_trail_m=line.length_m * (1 - line.on_trail_share),
        on_trail_share=line.on_trail_share,
        fords=line.fords,
        bridges=line.bridges,
        wet_m=line.wet_m,
        day_s=float(times.day_s[CAR, post]),
        back_dark_s=float(times.dark_s[post, CAR]),
    )
    return walk, _comes_from_deg(line.line_m, epsg)


def _comes_from_deg(line_m: FloatArray, epsg: int) -> float:
    away = np.hypot(*(line_m - line_m[-1]).T)
    far = np.flatnonzero(away >= LAST_M)
    east, north = line_m[far[-1] if far.size else 0] - line_m[-1]
    return float((np.degrees(np.arctan2(east, north)) + convergence_deg(epsg, line_m[-1])) % 360)
