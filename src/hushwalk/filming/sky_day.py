"""One civil day of sun and moon at a log, minute by minute, and when the log is in sun or in shade.

The skyline itself is skyline.py's business; how bright it is below the crowns is log_light.py's.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo

import ephem
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from hushwalk.filming.skyline import Skyline
from hushwalk.science.horizon import SUN_RADIUS_DEG, refraction_deg
from hushwalk.science.moon import moon_lit_fraction
from hushwalk.science.sky import days_since_1899, horizontal_deg
from hushwalk.science.sky_light import light_table, moon_lux, sun_lux
from hushwalk.science.sun import CIVIL_DEG, NAUTICAL_DEG, SUNRISE_DEG
from hushwalk.types import FloatArray, IntArray

SUN_STEP_MIN, MOON_STEP_MIN, LIT_STEP_MIN = 15, 20, 240
"""Judgement: splines through these agree with the ephemeris to far better than a thousandth of a degree."""
STATES = ("sun down", "ridge shade", "tree shade", "sun", "full cloud")
DOWN, RIDGE, TREES, SUN, CLOUD = range(5)


@dataclass(frozen=True, eq=False)
class SkyDay:
    """The sky over a place from one local midnight to the next.

    Parameters
    ----------
    midnight : start of the civil day, aware.
    sun_altitude_deg, sun_azimuth_deg, moon_altitude_deg, moon_azimuth_deg : by minute, airless, true north; shape (n,),
        n = 1440, or 1380 or 1500 where the clocks change [deg].
    moon_lit : lit share of the moon's disc, shape (n,).
    lux : of open level ground under a clear sky, shape (n,).
    nautical_dawns, civil_dawns, sunrises, sunsets, civil_dusks, nautical_dusks : minutes since midnight; none, one or
        two of each [min].
    """

    midnight: datetime
    sun_altitude_deg: FloatArray = field(repr=False)
    sun_azimuth_deg: FloatArray = field(repr=False)
    moon_altitude_deg: FloatArray = field(repr=False)
    moon_azimuth_deg: FloatArray = field(repr=False)
    moon_lit: FloatArray = field(repr=False)
    lux: FloatArray = field(repr=False)
    nautical_dawns: tuple[float, ...]
    civil_dawns: tuple[float, ...]
    sunrises: tuple[float, ...]
    sunsets: tuple[float, ...]
    civil_dusks: tuple[float, ...]
    nautical_dusks: tuple[float, ...]

    @property
    def polar_day(self) -> bool:
        """Whether the sun stays up all day."""
        return bool((self.sun_altitude_deg > SUNRISE_DEG).all())

    @property
    def n_minutes(self) -> int:
        """Minutes of the day."""
        return len(self.lux)

    def at(self, minute: float) -> datetime:
        """Wall-clock time of a minute of the day, right across a change of the clocks."""
        moment = self.midnight.astimezone(UTC) + timedelta(seconds=round(minute * 60))
        return moment.astimezone(self.midnight.tzinfo)


@dataclass(frozen=True)
class Spell:
    """A stretch of time in one state; ``end_min`` is no longer part of it [min since midnight]."""

    start_min: int
    end_min: int
    state: str


def sky_day(day: date, zone: tzinfo, lon_deg: float, lat_deg: float) -> SkyDay:
    """Work out the sky of one civil day.

    Parameters
    ----------
    day : on the calendar of the place.
    zone : its time zone.
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    SkyDay

    Raises
    ------
    PlaceError
        If the place is not on the earth.

    Notes
    -----
    Cubic splines through the ephemeris every 15 minutes (sun) and 20 minutes (moon). The times at which the sun passes
    an altitude are the roots of the spline inside this civil day.

    References
    ----------
    usno_definitions, usno_circular_171
    """
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    after = day + timedelta(days=1)
    start, end = midnight.astimezone(UTC), datetime(after.year, after.month, after.day, tzinfo=zone).astimezone(UTC)
    n = round((end - start).total_seconds() / 60)
    minutes = np.arange(float(n))

    def knots(step: int) -> tuple[FloatArray, NDArray[np.datetime64]]:
        at = np.arange(-step, n + 2 * step, step)
        return at.astype(float), np.datetime64(start.replace(tzinfo=None), "s") + at * np.timedelta64(60, "s")

    sun, sun_azimuth = _path(ephem.Sun(), *knots(SUN_STEP_MIN), (lon_deg, lat_deg))
    moon_path, moon_azimuth = _path(ephem.Moon(), *knots(MOON_STEP_MIN), (lon_deg, lat_deg))
    at, times = knots(LIT_STEP_MIN)
    lit = np.clip(CubicSpline(at, moon_lit_fraction(times))(minutes), 0, 1)
    altitude, moon = sun(minutes), moon_path(minutes)
    return SkyDay(
        midnight=midnight,
        sun_altitude_deg=altitude,
        sun_azimuth_deg=np.mod(sun_azimuth(minutes), 360),
        moon_altitude_deg=moon,
        moon_azimuth_deg=np.mod(moon_azimuth(minutes), 360),
        moon_lit=lit,
        lux=sun_lux(altitude) + moon_lux(moon, lit) + light_table()["night"]["floor_lux"],
        nautical_dawns=_passes(sun, n, NAUTICAL_DEG, rising=True),
        civil_dawns=_passes(sun, n, CIVIL_DEG, rising=True),
        sunrises=_passes(sun, n, SUNRISE_DEG, rising=True),
        sunsets=_passes(sun, n, SUNRISE_DEG, rising=False),
        civil_dusks=_passes(sun, n, CIVIL_DEG, rising=False),
        nautical_dusks=_passes(sun, n, NAUTICAL_DEG, rising=False),
    )


def _path(
    body: ephem.Body, at: FloatArray, times: NDArray[np.datetime64], lonlat_deg: tuple[float, float]
) -> tuple[CubicSpline, CubicSpline]:
    """Altitude and unwrapped azimuth of a body by minute."""
    altitude, azimuth = horizontal_deg(body, days_since_1899(times), *lonlat_deg)
    return CubicSpline(at, altitude), CubicSpline(at, np.unwrap(azimuth, period=360.0))


def _passes(sun: CubicSpline, n: int, altitude_deg: float, *, rising: bool) -> tuple[float, ...]:
    roots = np.unique(sun.solve(altitude_deg, extrapolate=False))
    way = sun(roots, 1)
    fits = (roots >= 0) & (roots < n) & ((way > 0) if rising else (way < 0))
    return tuple(roots[fits].tolist())


def shade(sky: SkyDay, skyline: Skyline, temperature_c: float = 10.0, *, overcast: bool = False) -> IntArray:
    """Find for every minute whether the log is in sun, in the shade of a ridge or of trees, or the sun is down.

    Parameters
    ----------
    sky : of the day.
    skyline : round the log.
    temperature_c : of the air, for the refraction.
    overcast : full cloud, which hides the sun all day.

    Returns
    -------
    ndarray, shape (n,)
        Index into ``STATES``.

    Notes
    -----
    The sun counts as seen while its upper limb, lifted by the air, stands above the skyline. The level horizon counts
    as a skyline of 0 degrees, so that hollows in it do not bring the sun up before sunrise.
    """
    limb = sky.sun_altitude_deg + refraction_deg(sky.sun_altitude_deg, temperature_c) + SUN_RADIUS_DEG
    ridge = np.maximum(skyline.terrain_at(sky.sun_azimuth_deg), 0.0)
    trees = skyline.trees_at(sky.sun_azimuth_deg)
    up = sky.sun_altitude_deg >= SUNRISE_DEG
    return np.select([~up, limb <= ridge, limb <= trees], [DOWN, RIDGE, TREES], default=CLOUD if overcast else SUN)


def spells(states: IntArray) -> tuple[Spell, ...]:
    """Gather minutes of equal state into stretches of time.

    Examples
    --------
    >>> spells(np.array([0, 0, 3]))[1]
    Spell(start_min=2, end_min=3, state='sun')
    """
    turns = np.flatnonzero(np.diff(states)) + 1
    starts, ends = [0, *turns.tolist()], [*turns.tolist(), len(states)]
    return tuple(Spell(a, b, STATES[int(states[a])]) for a, b in zip(starts, ends, strict=True))
