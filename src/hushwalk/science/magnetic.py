"""Magnetic declination by the World Magnetic Model 2025, and bearings between the three norths.

Convergence of a grid is a matter of projection and stands in grid/utm.py.
"""

from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from pygeomag import GeoMag

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.types import FloatArray

CompassUse = Literal["good", "doubtful", "useless"]

FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0
"""The model holds between these (source wmm_2025)."""
CAUTION_NT, BLACKOUT_NT = 6000.0, 2000.0
"""Horizontal intensity below which a compass is doubtful, or useless (source wmm_2025)."""
ERROR_FLOOR_DEG, ERROR_NT = 0.26, 5417.0
"""Error model of the declination (source wmm_2025)."""


@dataclass(frozen=True)
class Declination:
    """How far magnetic north lies east of true north, and how sure that is.

    Parameters
    ----------
    declination_deg : east positive.
    error_deg : one standard deviation of the model; iron in the ground or in the pocket comes on top.
    rate_deg_per_year : how it changes.
    horizontal_nt : horizontal intensity of the field [nT].
    """

    declination_deg: float
    error_deg: float
    rate_deg_per_year: float
    horizontal_nt: float

    @property
    def compass(self) -> CompassUse:
        """What a compass is worth there: doubtful in the caution zone of the model, useless in its blackout zone."""
        if self.horizontal_nt < BLACKOUT_NT:
            return "useless"
        return "doubtful" if self.horizontal_nt < CAUTION_NT else "good"


def decimal_year(day: date) -> float:
    """Noon of a day as a year with decimals.

    Examples
    --------
    >>> decimal_year(date(2027, 7, 2))
    2027.5
    """
    first, after = date(day.year, 1, 1), date(day.year + 1, 1, 1)
    return day.year + ((day - first).days + 0.5) / (after - first).days


def declination(day: date, lon_deg: float, lat_deg: float, height_m: float = 0.0) -> Declination:
    """Declination at a place on a day.

    Parameters
    ----------
    day : in 2025 to 2029.
    lon_deg, lat_deg : place [deg].
    height_m : above the ellipsoid; sea level will do [m].

    Returns
    -------
    Declination
        With its error sqrt(0.26^2 + (5417 / H)^2) deg, H the horizontal intensity in nT.

    Raises
    ------
    SettingsError
        If the day is outside the life of the model.
    PlaceError
        If the place is not on the earth, or outside the heights of the model.

    References
    ----------
    wmm_2025

    Examples
    --------
    >>> round(declination(date(2027, 4, 25), -92.10, 46.79, 300).declination_deg, 2)
    -1.23
    """
    return declination_in_year(decimal_year(day), lon_deg, lat_deg, height_m)


def declination_in_year(year: float, lon_deg: float, lat_deg: float, height_m: float = 0.0) -> Declination:
    """Declination at a place, the time as a year with decimals; see :func:`declination`.

    Parameters
    ----------
    year : with decimals, within the life of the model [a].
    lon_deg, lat_deg : place [deg].
    height_m : above the ellipsoid [m].

    Returns
    -------
    Declination

    Raises
    ------
    SettingsError
        If the year lies outside the model.
    PlaceError
        If the place is none.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise SettingsError(
            f"the date {year:.2f} is outside the World Magnetic Model 2025, which holds from {FIRST_YEAR:.0f} to"
            f" {LAST_YEAR:.0f}; choose a date in it, or use a hushwalk with the next model"
        )
    if not (-180 <= lon_deg <= 180 and -90 <= lat_deg <= 90 and -1000 <= height_m <= 850_000):  # noqa: PLR2004  ranges of the model
        raise PlaceError(
            f"longitude {lon_deg}, latitude {lat_deg}, height {height_m} m is not a place of the magnetic model,"
            " longitude first"
        )
    field = _model().calculate(glat=lat_deg, glon=lon_deg, alt=height_m / 1000, time=year)
    before, after = max(year - 0.5, FIRST_YEAR), min(year + 0.5, LAST_YEAR)
    ends = [_model().calculate(glat=lat_deg, glon=lon_deg, alt=height_m / 1000, time=t).d for t in (before, after)]
    turned = (ends[1] - ends[0] + 180) % 360 - 180
    error = float(np.hypot(ERROR_FLOOR_DEG, ERROR_NT / max(field.h, 1.0)))
    return Declination(field.d, min(error, 180.0), turned / (after - before), field.h)


@cache
def _model() -> GeoMag:
    return GeoMag(coefficients_file="wmm/WMM_2025.COF")


def magnetic_from_true(true_deg: ArrayLike, declination_deg: ArrayLike) -> FloatArray:
    """Turn a true azimuth into a bearing on a magnetic compass, 0 <= b < 360 [deg]: true - declination."""
    return _round_the_circle(np.asarray(true_deg, dtype=float) - np.asarray(declination_deg, dtype=float))


def _round_the_circle(angle_deg: FloatArray) -> FloatArray:
    turned = np.mod(angle_deg, 360.0)
    return np.asarray(np.where(turned == 360.0, 0.0, turned))  # noqa: PLR2004  -1e-16 mod 360 rounds up to 360
