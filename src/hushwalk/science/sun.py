"""Where the sun stands, and when a local civil day has its dawn, sunrise, sunset and dusk.

How bright it is then is sky_light.py's business; hills that hide the sun are horizon.py's.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo

import ephem
import numpy as np

from hushwalk.science.sky import DAY_ZERO, Times, days_since_1899, horizontal_deg
from hushwalk.types import FloatArray

SUNRISE_DEG = -50 / 60
"""Airless altitude of the centre when the upper limb shows: 34' refraction, 16' radius (source usno_definitions)."""
CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG = -6.0, -12.0, -18.0
"""Where the twilights begin and end (source usno_definitions)."""

HOUR_DEG = 15.0  # definition: the earth turns so far in an hour
HALF_A_DAY = timedelta(hours=12, minutes=30)
"""Definition: half a day and a little more, for the sun's noon lies up to 17 minutes off that of its mean."""
_STEP_DAYS = 10 / 1440
_HALVINGS = 22  # of a step of ten minutes: far below a millisecond


@dataclass(frozen=True)
class MorningLight:
    """The first times of a civil day at which the light comes up; None where the sun does not do it that day."""

    nautical_dawn: datetime | None
    civil_dawn: datetime | None
    sunrise: datetime | None


@dataclass(frozen=True)
class EveningLight:
    """The times at which the light goes after the noon of a civil day; None where the sun does not do it then."""

    sunset: datetime | None
    civil_dusk: datetime | None
    nautical_dusk: datetime | None


def sun_altitude_deg(times: Times, lon_deg: float, lat_deg: float) -> FloatArray:
    """Airless altitude of the sun's centre above the level horizon.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or numpy datetimes in UTC, shape (...).
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    ndarray, shape (...)
        [deg].

    Examples
    --------
    >>> round(float(sun_altitude_deg(datetime(2026, 4, 25, 12, tzinfo=UTC), -92.10, 46.79)), 2)
    8.57
    """
    return _positions(times, lon_deg, lat_deg)[0]


def sun_azimuth_deg(times: Times, lon_deg: float, lat_deg: float) -> FloatArray:
    """Azimuth of the sun's centre, clockwise from true north.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or numpy datetimes in UTC, shape (...).
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    ndarray, shape (...)
        [deg].
    """
    return _positions(times, lon_deg, lat_deg)[1]


def _positions(times: Times, lon_deg: float, lat_deg: float) -> tuple[FloatArray, FloatArray]:
    return horizontal_deg(ephem.Sun(), days_since_1899(times), lon_deg, lat_deg)


def sun_events(
    day: date,
    zone: tzinfo,
    lon_deg: float,
    lat_deg: float,
    altitude_deg: float = SUNRISE_DEG,
    *,
    rising: bool = True,
) -> tuple[datetime, ...]:
    """Every moment of one civil day at which the sun passes an altitude upwards (or downwards).

    Parameters
    ----------
    day : the civil day at the place.
    zone : time zone of the place; the day runs from its midnight to its next midnight.
    lon_deg, lat_deg : place [deg].
    altitude_deg : airless altitude of the centre [deg].
    rising : upwards, or downwards if False.

    Returns
    -------
    tuple of datetime
        To the nearest second, in ``zone``: none, one, or (near the polar circle) two.

    Raises
    ------
    PlaceError
        If the place is not on the earth.

    Notes
    -----
    The root of altitude(t) - ``altitude_deg`` is halved out between samples of ten minutes; the top and bottom of the
    sun's path are sampled too, so that a sun that only grazes the altitude is not missed. Routines that count in UT
    days give yesterday's sunset in North America; this one counts in the day on the calendar of the place.

    References
    ----------
    usno_definitions, nrel_spa_2008

    Examples
    --------
    >>> from zoneinfo import ZoneInfo
    >>> sun_events(date(2026, 4, 25), ZoneInfo("America/Chicago"), -92.10, 46.79)[0].strftime("%H:%M")
    '06:03'
    """
    sign = 1.0 if rising else -1.0

    def above(days: FloatArray) -> FloatArray:
        return sign * (horizontal_deg(ephem.Sun(), days, lon_deg, lat_deg)[0] - altitude_deg)

    start, end = (
        float(days_since_1899(datetime(d.year, d.month, d.day, tzinfo=zone))) for d in (day, day + timedelta(days=1))
    )
    days = np.linspace(start, end, round((end - start) / _STEP_DAYS) + 1)
    height = above(days)
    turns = _turns(days, height)
    order = np.argsort(np.concatenate([days, turns]))
    days, height = np.concatenate([days, turns])[order], np.concatenate([height, above(turns)])[order]
    up = np.flatnonzero((height[:-1] < 0) & (height[1:] >= 0))
    low, high = days[up], days[up + 1]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        below = above(middle) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return tuple(_whole_second(moment, zone) for moment in high.tolist())


def _turns(days: FloatArray, height: FloatArray) -> FloatArray:
    """Days of the tops and bottoms between evenly spaced samples, by the parabola through three of them."""
    bend = height[2:] - 2 * height[1:-1] + height[:-2]
    turns = np.flatnonzero((height[1:-1] - height[:-2]) * (height[2:] - height[1:-1]) < 0)
    shift = (height[turns] - height[turns + 2]) / (2 * bend[turns])
    found: FloatArray = days[turns + 1] + shift * (days[1] - days[0])
    return found


def _whole_second(days: float, zone: tzinfo) -> datetime:
    moment = DAY_ZERO + timedelta(seconds=round(days * 86_400))
    return moment.astimezone(UTC).astimezone(zone)


def morning_light(day: date, zone: tzinfo, lon_deg: float, lat_deg: float) -> MorningLight:
    """When the light comes up on one civil day.

    Parameters
    ----------
    day : the civil day at the place.
    zone : time zone of the place.
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    MorningLight
        The first nautical dawn, civil dawn and sunrise of that day.

    References
    ----------
    usno_definitions
    """
    first = [
        next(iter(sun_events(day, zone, lon_deg, lat_deg, altitude)), None)
        for altitude in (NAUTICAL_DEG, CIVIL_DEG, SUNRISE_DEG)
    ]
    return MorningLight(*first)


def evening_light(day: date, zone: tzinfo, lon_deg: float, lat_deg: float) -> EveningLight:
    """When the light goes on one civil day; near the polar circle that may be after midnight.

    Parameters
    ----------
    day : the civil day at the place.
    zone : time zone of the place.
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    EveningLight
        The first sunset within twelve hours after the sun's noon, and the civil and nautical dusk that follow it before
        the sun's midnight.

    References
    ----------
    usno_definitions
    """
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(hours=lon_deg / HOUR_DEG)
    found: list[datetime | None] = []
    for altitude in (SUNRISE_DEG, CIVIL_DEG, NAUTICAL_DEG):
        passes = (
            moment
            for on in (day, day + timedelta(days=1))
            for moment in sun_events(on, zone, lon_deg, lat_deg, altitude, rising=False)
        )
        found.append(next((m for m in passes if noon < m <= noon + HALF_A_DAY), None))
    return EveningLight(*found)
