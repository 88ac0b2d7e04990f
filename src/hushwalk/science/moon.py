"""Where the moon stands, how much of it is lit, and what that means for a person on foot.

The light itself is sky_light.py's business; the sun is sun.py's.
"""

from datetime import datetime

import ephem
import numpy as np

from hushwalk.science.sky import Times, days_since_1899, horizontal_deg
from hushwalk.science.sky_light import light_table, moon_lux
from hushwalk.types import FloatArray

SECTORS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def moon_altitude_deg(times: Times, lon_deg: float, lat_deg: float) -> FloatArray:
    """Airless altitude of the moon's centre above the level horizon, seen from the ground.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or numpy datetimes in UTC, shape (...).
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    ndarray, shape (...)
        [deg].
    """
    return horizontal_deg(ephem.Moon(), days_since_1899(times), lon_deg, lat_deg)[0]


def moon_azimuth_deg(times: Times, lon_deg: float, lat_deg: float) -> FloatArray:
    """Azimuth of the moon's centre, clockwise from true north.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or numpy datetimes in UTC, shape (...).
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    ndarray, shape (...)
        [deg].
    """
    return horizontal_deg(ephem.Moon(), days_since_1899(times), lon_deg, lat_deg)[1]


def moon_lit_fraction(times: Times) -> FloatArray:
    """Lit share of the moon's disc.

    Parameters
    ----------
    times : one aware datetime, a sequence of them, or numpy datetimes in UTC, shape (...).

    Returns
    -------
    ndarray, shape (...)
        0 (new) .. 1 (full).

    References
    ----------
    meeus_1998

    Examples
    --------
    >>> from datetime import UTC
    >>> round(float(moon_lit_fraction(datetime(2026, 4, 25, 12, tzinfo=UTC))), 2)
    0.65
    """
    days = days_since_1899(times)
    moon = ephem.Moon()
    lit = np.empty(days.size)
    for place, day in enumerate(days.ravel()):
        moon.compute(day)
        lit[place] = moon.phase / 100
    return lit.reshape(days.shape)


def moon_words(when: datetime, lon_deg: float, lat_deg: float) -> str:
    """Say what the moon does for a person who walks at one moment.

    Parameters
    ----------
    when : aware.
    lon_deg, lat_deg : place [deg].

    Returns
    -------
    str
        One sentence without a full stop. The light is that of a clear sky on open ground; woods and cloud take
        most of it.
    """
    lit = float(moon_lit_fraction(when))
    altitude = float(moon_altitude_deg(when, lon_deg, lat_deg))
    if altitude <= 0:
        return f"moon down ({lit:.0%} lit): starlight only, carry a lamp and a spare"
    sector = SECTORS[round(float(moon_azimuth_deg(when, lon_deg, lat_deg)) / 45) % 8]
    lux = float(moon_lux(altitude, lit))
    limits = light_table()["walking"]
    if lux >= limits["trail_lux"]:
        use = "enough to follow a trail on open ground"
    elif lux >= limits["shapes_lux"]:
        use = "shapes only, carry a lamp"
    else:
        use = "no help to the feet, carry a lamp"
    return f"moon {lit:.0%} lit, {altitude:.0f} deg up in the {sector}: {lux:.2g} lux under a clear sky, {use}"
