"""Days at a log: skyline with the far ridges, sky, shade and light, and the pictures that the light allows.

Which day is best is chosen in story.py.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.errors import HushwalkError
from hushwalk.filming.bird_parts import BirdPart, parts_apart
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.log_light import LightParams, LogLight, Shot, chance_of, iso_at, light_at_log
from hushwalk.filming.log_places import LogPlace
from hushwalk.filming.session_report import ExposureRow
from hushwalk.filming.sessions import Activity, SessionParams, When, session_of
from hushwalk.filming.sky_day import SkyDay, shade, sky_day, spells
from hushwalk.filming.skyline import Skyline, SkylineParams, sky_view, skyline_at
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import read_layer
from hushwalk.site.settings import TripSettings, named_layers
from hushwalk.site.site import Site
from hushwalk.types import IntArray

Lit = tuple[SkyDay, IntArray, LogLight]
"""Sky, shade and light of one day at a log."""

FAR_CELL_M = 30.0  # judgement: beyond the trip's ground a crest smoothed by 30 m costs seconds of sun
TABLE_MIN = (-30, -15, 0, 15, 30, 60, 120)
"""Times of the exposure table, from sunrise (mirrored about sunset in the evening) [min]."""


def far_heights(settings: TripSettings, site: Site, reach_m: float) -> Layer | None:
    """Read the elevation layers again on coarse cells, as far as ridges may shade a log.

    Parameters
    ----------
    settings : with the layers.
    site : round whose car the heights are read.
    reach_m : how far ridges may stand [m].

    Returns
    -------
    Layer or None
        NaN where the files hold nothing; None if they cannot be read so wide.
    """
    east, north = site.car.xy_m
    n = 2 * int((reach_m + settings.ground.reach_m) / FAR_CELL_M) + 1
    grid = Grid(site.grid.epsg, east - n * FAR_CELL_M / 2, north + n * FAR_CELL_M / 2, FAR_CELL_M, n, n)
    where = Georeference(grid, settings.folder, settings.ground.network)
    specs = [(name, spec) for name, spec in named_layers(settings.layers) if spec.kind == "elevation"]
    try:
        got = read_layer("elevation", specs, where, settings.morning.date.year)
    except HushwalkError:
        return None  # the trip's own ground was read; how far it reaches is said with the skyline
    return None if got is None else got[0]


def look_round_log(place: LogPlace, site: Site, far: Layer | None) -> Skyline:
    """Look round a log: ridges near and far, joined with what was measured there.

    Parameters
    ----------
    place : the log.
    site : with the near heights.
    far : coarser heights of wider ground, or None.

    Returns
    -------
    Skyline
    """
    params = SkylineParams(eye_m=place.log.top_m + 0.2)  # judgement: the middle of the bird's body
    measured = np.array(place.skyline_deg, dtype=float).reshape(-1, 2)
    return skyline_at(site.ground.elevation, place.log.xy_m, measured, params, far)


def light_of_day(
    day: date, zone: ZoneInfo, lonlat: tuple[float, float], skyline: Skyline, params: LightParams, air_c: float
) -> Lit:
    """Sky, shade and light of one day at a log.

    Parameters
    ----------
    day, zone : on the calendar of the place, and its time zone.
    lonlat : of the log [deg].
    skyline : round it.
    params : cloud, crowns and snow.
    air_c : of the air, for the refraction [degrees C].

    Returns
    -------
    tuple of SkyDay, ndarray, LogLight
        The array holds the states of shade by minute, shape (n,).
    """
    sky = sky_day(day, zone, *lonlat)
    states = shade(sky, skyline, air_c, overcast=params.sky == "overcast")
    return sky, states, light_at_log(sky, states, params, sky_view(skyline))


def day_at_log(lit: Lit, day: date, activity: Activity, wish: SessionParams, when: When) -> DayAtLog:
    """Weigh one day, in the light on the side of the bird that the hide sees.

    Parameters
    ----------
    lit : sky, shade and light of the day.
    day : on the calendar.
    activity : of the bird by the hour.
    wish : what is wanted and possible.
    when : morning or evening.

    Returns
    -------
    DayAtLog
    """
    sky, states, light = lit
    seen = light if wish.hide_deg is None else light.from_side(wish.hide_deg)
    session = session_of(sky, seen, states, activity, wish, when)
    return DayAtLog(day, sky, spells(states), seen, session, wish.season)


def exposure_table(
    best: DayAtLog, shots: Sequence[Shot], iso_max: float, parts: dict[BirdPart, float]
) -> tuple[tuple[datetime, ...], tuple[ExposureRow, ...]]:
    """ISO of every shot at a few times of the best day, and from when each is possible.

    Parameters
    ----------
    best : the day.
    shots : pictures to be taken.
    iso_max : the highest ISO that the person puts up with.
    parts : of the bird that the camera sees, with the azimuth that each looks along [deg].

    Returns
    -------
    tuple
        Times, and one row a shot, the first once more for each part where one is clearly brighter than the other; both
        empty where there is no session.
    """
    if best.session is None:
        return (), ()
    anchor = round((best.session.anchor - best.sky.at(0)) / timedelta(minutes=1))
    steps = TABLE_MIN if best.session.when == "morning" else tuple(-step for step in reversed(TABLE_MIN))
    minutes = [min(max(anchor + step, 0), best.sky.n_minutes - 1) for step in steps]

    def row(light: LogLight, shot: Shot, part: BirdPart | None = None) -> ExposureRow:
        iso = iso_at(light, shot, minutes)
        return ExposureRow(chance_of(light, shot, iso_max), tuple((a, b, c) for a, b, c in iso.T.tolist()), part)

    apart = parts_apart(best.light, parts, minutes)
    rows = [row(best.light, shots[0]), *(row(light, shots[0], part) for part, light in apart.items())]
    rows += [row(best.light, shot) for shot in shots[1:]]
    return tuple(best.sky.at(minute) for minute in minutes), tuple(rows)
