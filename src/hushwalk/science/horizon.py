"""Angles to hills on a round earth, and to the sun through the air: what stands before what.

Marching over a grid of heights is the filming room's business.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray

EARTH_M = 6_371_000.0
"""Mean radius of the earth (definition)."""
REFRACTION_K = 0.13
"""Curvature of a sight line over that of the earth (source surveying_refraction)."""
SUN_RADIUS_DEG = 16 / 60
"""Half the width of the sun (source usno_definitions)."""
LOWEST_DEG = -5.0
"""Below this the formula of refraction is not meant to be used; it is held there (judgement)."""
GAP_DEG = 30.0
"""Measured points farther apart leave the skyline between them open (judgement)."""
TURN_DEG = 360.0


def curvature_drop_m(distance_m: ArrayLike, refraction_k: float = REFRACTION_K) -> FloatArray:
    """How far the earth falls away below a level sight line.

    Parameters
    ----------
    distance_m : shape (...) [m].
    refraction_k : 0 for the bare curvature, 1 for a flat earth.

    Returns
    -------
    ndarray, shape (...)
        d^2 (1 - k) / (2 R) [m].

    References
    ----------
    surveying_refraction

    Examples
    --------
    >>> round(float(curvature_drop_m(2500.0, 0.0)), 2)
    0.49
    """
    return np.asarray(np.asarray(distance_m, dtype=float) ** 2 * (1 - refraction_k) / (2 * EARTH_M))


def refraction_deg(altitude_deg: ArrayLike, temperature_c: float = 10.0, pressure_hpa: float = 1010.0) -> FloatArray:
    """How much higher the air makes a body of the sky appear.

    Parameters
    ----------
    altitude_deg : airless altitude, shape (...) [deg].
    temperature_c, pressure_hpa : of the air at the ground.

    Returns
    -------
    ndarray, shape (...)
        [deg].

    Notes
    -----
    R = 1.02' cot(h + 10.3 / (h + 5.11)) times P / 1010 times 283 / (273 + T). Near the horizon mornings differ by
    0.18 deg (one standard deviation), about a minute of time (sampson_2003).

    References
    ----------
    saemundsson_1986, sampson_2003
    """
    h = np.maximum(np.asarray(altitude_deg, dtype=float), LOWEST_DEG)
    minutes = 1.02 / np.tan(np.radians(h + 10.3 / (h + 5.11)))
    return np.asarray(np.maximum(minutes, 0.0) / 60 * (pressure_hpa / 1010) * (283 / (273 + temperature_c)))


def measured_skyline_deg(azimuths_deg: ArrayLike, points_deg: ArrayLike) -> FloatArray:
    """Angles of a skyline that a person measured at some azimuths.

    Parameters
    ----------
    azimuths_deg : where it is asked for, shape (n,) [deg].
    points_deg : azimuth and angle of each measured point, shape (k, 2) [deg]; k may be 0.

    Returns
    -------
    ndarray, shape (n,)
        Straight between neighbours that are at most 30 deg apart; minus infinity where nothing was measured.

    Raises
    ------
    SettingsError
        If a point cannot be.

    Examples
    --------
    >>> measured_skyline_deg([10.0, 90.0], [[0.0, 10.0], [20.0, 20.0]]).tolist()
    [15.0, -inf]
    """
    wanted = np.mod(np.asarray(azimuths_deg, dtype=float), TURN_DEG)
    points = np.asarray(points_deg, dtype=float).reshape(-1, 2)
    upright = 90.0
    bad = ~(np.isfinite(points).all(axis=1) & (np.abs(points[:, 1]) <= upright) & (np.abs(points[:, 0]) <= TURN_DEG))
    if bad.any():
        raise SettingsError(
            f"measured skyline: point {points[bad][0].tolist()} cannot be; "
            "give [azimuth 0..360, angle -90..90] in degrees"
        )
    if len(points) == 0:
        return np.full(wanted.shape, -np.inf)
    points = points[np.argsort(np.mod(points[:, 0], TURN_DEG), kind="stable")]
    at = np.mod(points[:, 0], TURN_DEG)
    wrapped = np.concatenate([[at[-1] - TURN_DEG], at, [at[0] + TURN_DEG]])
    angles = np.concatenate([points[-1:, 1], points[:, 1], points[:1, 1]])
    left = np.clip(np.searchsorted(wrapped, wanted, side="right") - 1, 0, len(wrapped) - 2)
    gap = wrapped[left + 1] - wrapped[left]
    near = np.minimum(wanted - wrapped[left], wrapped[left + 1] - wanted) == 0
    return np.where((gap <= GAP_DEG) | near, np.interp(wanted, wrapped, angles), -np.inf)


def angle_at(azimuth_deg: ArrayLike, skyline_deg: FloatArray) -> FloatArray:
    """Read a skyline given at equal steps from north, straight between its values.

    Parameters
    ----------
    azimuth_deg : shape (...) [deg].
    skyline_deg : shape (n,), at 0, 360 / n, 2 x 360 / n ... [deg].
    """
    n = len(skyline_deg)
    place = np.mod(np.asarray(azimuth_deg, dtype=float), TURN_DEG) * n / TURN_DEG
    return np.asarray(np.interp(place, np.arange(n + 1), np.append(skyline_deg, skyline_deg[0])))
