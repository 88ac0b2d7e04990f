"""Where a body of the sky stands, seen from a place: altitude and azimuth without refraction.

Sun and moon, their events and their light are the business of sun.py, moon.py and sky_light.py.
"""

from collections.abc import Sequence
from datetime import UTC, datetime

import ephem
import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.types import FloatArray

Times = datetime | Sequence[datetime] | NDArray[np.datetime64]
"""Aware datetimes, or numpy datetimes that are read as UTC."""

DAY_ZERO = datetime(1899, 12, 31, 12, tzinfo=UTC)
DAY_S = 86_400.0


def days_since_1899(times: Times) -> FloatArray:
    """Count days from noon of 31 December 1899 UTC, as the ephemeris does.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or an array of numpy datetimes in UTC, shape (...).

    Returns
    -------
    ndarray, shape (...)
        Days; shape () for one datetime.

    Raises
    ------
    SettingsError
        If a datetime has no time zone.

    Examples
    --------
    >>> float(days_since_1899(datetime(1900, 1, 1, tzinfo=UTC)))
    0.5
    """
    if isinstance(times, np.ndarray) and np.issubdtype(times.dtype, np.datetime64):
        zero = np.datetime64(DAY_ZERO.replace(tzinfo=None), "us")
        days: FloatArray = (times.astype("datetime64[us]") - zero) / np.timedelta64(1, "us") / (DAY_S * 1e6)
        return days
    if isinstance(times, datetime):
        return np.asarray(_one(times))
    return np.array([_one(time) for time in times], dtype=float)


def _one(time: datetime) -> float:
    if time.utcoffset() is None:
        raise SettingsError(f"the time {time.isoformat()} has no time zone; sun and moon need one")
    return (time - DAY_ZERO).total_seconds() / DAY_S


def horizontal_deg(body: ephem.Body, days: FloatArray, lon_deg: float, lat_deg: float) -> tuple[FloatArray, FloatArray]:
    """Altitude and azimuth of a body's centre.

    Parameters
    ----------
    body : a body of the ephemeris, such as ``ephem.Sun()``.
    days : shape (...), as :func:`days_since_1899` gives them.
    lon_deg, lat_deg : where the eye is, at sea level [deg].

    Returns
    -------
    tuple of ndarray, shape (...)
        Altitude above the level horizon and azimuth clockwise from true north [deg], airless and seen from the ground
        (parallax included).

    Raises
    ------
    PlaceError
        If the place is not on the earth.
    """
    if not (-180 <= lon_deg <= 180 and -90 <= lat_deg <= 90):  # noqa: PLR2004  the range of a longitude and latitude
        raise PlaceError(f"longitude {lon_deg}, latitude {lat_deg} is not a place on the earth, longitude first")
    eye = ephem.Observer()
    eye.lon, eye.lat, eye.elevation, eye.pressure = np.radians(lon_deg), np.radians(lat_deg), 0.0, 0.0
    flat = np.asarray(days, dtype=float)
    positions = np.empty((flat.size, 2))
    for place, day in enumerate(flat.ravel()):
        eye.date = day
        body.compute(eye)
        positions[place] = body.alt, body.az
    degrees = np.degrees(positions).reshape((*flat.shape, 2))
    return degrees[..., 0], degrees[..., 1]
