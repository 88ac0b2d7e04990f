"""How cold wind makes the air feel on a bare face.

What a person does about it is said on the sheet.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

WARMEST_F, CALMEST_MPH = 50.0, 3.0
"""The index is defined for this temperature and less, this wind and more (source nws_wind_chill_2001)."""
MPH_PER_MS = 1 / 0.44704
"""Definition."""
FACE_SHARE = 2 / 3
"""Wind at the face over that of a mast of 10 m, which the index wants (source nws_wind_chill_2001, from memory)."""
FROSTBITE_C = -28.0
"""Skin freezes within 30 minutes from about here (source nws_wind_chill_2001)."""


def wind_chill_f(temperature_f: ArrayLike, wind_mph: ArrayLike) -> FloatArray:
    """Wind chill index in the units it was published in.

    Parameters
    ----------
    temperature_f : of the air, shape (...) [degrees F].
    wind_mph : at a mast of 10 m, shape (...) [miles an hour].

    Returns
    -------
    ndarray, shape (...)
        [degrees F]; the air's own temperature where the index is not defined.

    Notes
    -----
    35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16.

    References
    ----------
    nws_wind_chill_2001

    Examples
    --------
    >>> round(float(wind_chill_f(0.0, 15.0)))
    -19
    """
    t, v = np.asarray(temperature_f, dtype=float), np.asarray(wind_mph, dtype=float)
    power = np.maximum(v, 0.0) ** 0.16
    index = 35.74 + 0.6215 * t - 35.75 * power + 0.4275 * t * power
    return np.where((t <= WARMEST_F) & (v >= CALMEST_MPH), index, t)


def wind_chill_c(temperature_c: ArrayLike, wind_at_face_ms: ArrayLike) -> FloatArray:
    """Wind chill index for a person who sits in the wood.

    Parameters
    ----------
    temperature_c : of the air, shape (...) [degrees C].
    wind_at_face_ms : where the person sits, shape (...) [m/s].

    Returns
    -------
    ndarray, shape (...)
        [degrees C].

    References
    ----------
    nws_wind_chill_2001, environment_canada_wind_chill

    Examples
    --------
    >>> round(float(wind_chill_c(-10.0, 3.7)), 1)
    -17.8
    """
    fahrenheit = np.asarray(temperature_c, dtype=float) * 1.8 + 32
    mast_mph = np.asarray(wind_at_face_ms, dtype=float) / FACE_SHARE * MPH_PER_MS
    return np.asarray((wind_chill_f(fahrenheit, mast_mph) - 32) / 1.8)
