"""Chances to hear: from level or distance, over minutes, stops and mornings.

Where the level comes from is the business of the sound_*.py.
"""

import math

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

HALF_NORMAL_MEDIAN = math.sqrt(2 * math.log(2))
HALVINGS = 60


@njit(cache=True, nogil=True, error_model="numpy")
def normal_chance(deviation):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Probability that a standard normal number lies below ``deviation``, one number at a time."""
    return 0.5 * math.erfc(-deviation * 0.7071067811865476)


@njit(cache=True, nogil=True, error_model="numpy")
def _normal_chances(deviations):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Do the same for a flat array."""
    found = np.empty_like(deviations)
    for i in range(deviations.size):
        found[i] = normal_chance(deviations[i])
    return found


def heard_chance(margin_db: ArrayLike, sd_db: float) -> FloatArray:
    """Chance to hear one display whose level lies a margin above what is heard half of the time.

    Parameters
    ----------
    margin_db : any shape [dB].
    sd_db : spread of all that is not known about source, path and listener [dB].

    Returns
    -------
    ndarray
        Normal probability of ``margin / sd`` [1].

    References
    ----------
    efford_2009
    """
    deviation = np.asarray(margin_db, dtype=float) / sd_db
    chance: FloatArray = _normal_chances(deviation.ravel()).reshape(deviation.shape)
    return chance


def half_normal(distance_m: ArrayLike, scale_m: float) -> FloatArray:
    """Half-normal detection function ``exp(-r^2 / (2 s^2))``.

    Parameters
    ----------
    distance_m : any shape [m].
    scale_m : s [m].

    References
    ----------
    buckland_2001
    """
    chance: FloatArray = np.exp(-(np.asarray(distance_m, dtype=float) ** 2) / (2 * scale_m**2))
    return chance


def half_normal_radii_m(scale_m: float) -> tuple[float, float]:
    """Effective detection radius ``s sqrt(2)`` and median distance ``1.17741 s`` of the half-normal function.

    Parameters
    ----------
    scale_m : s [m].

    References
    ----------
    buckland_2001
    """
    return scale_m * math.sqrt(2), scale_m * HALF_NORMAL_MEDIAN


def hazard_rate(distance_m: ArrayLike, scale_m: float, shape: float) -> FloatArray:
    """Hazard-rate detection function ``1 - exp(-(r/s)^-b)``.

    Parameters
    ----------
    distance_m : any shape, above 0 [m].
    scale_m, shape : s [m] and b [1].

    References
    ----------
    buckland_2001
    """
    chance: FloatArray = -np.expm1(-((np.asarray(distance_m, dtype=float) / scale_m) ** -shape))
    return chance


def hazard_rate_radius_m(scale_m: float, shape: float) -> float:
    """Effective radius of the hazard-rate function, ``s sqrt(Gamma(1 - 2/b))``.

    Parameters
    ----------
    scale_m, shape : s [m] and b > 2 [1].

    References
    ----------
    buckland_2001
    """
    return scale_m * math.sqrt(math.gamma(1 - 2 / shape))


def mean_half_normal(scale_m: float, disc_m: float) -> float:
    """Mean chance of the half-normal function over a disc.

    Parameters
    ----------
    scale_m, disc_m : s and the radius of the disc [m].

    References
    ----------
    buckland_2001
    """
    return 2 * scale_m**2 / disc_m**2 * -math.expm1(-(disc_m**2) / (2 * scale_m**2))


def effective_radius_m(distance_m: FloatArray, chance: FloatArray) -> float:
    """Radius of the disc of certain hearing that holds as many males as are heard, ``sqrt(2 int g r dr)``.

    Parameters
    ----------
    distance_m, chance : shape (n,) rising distances from 0 [m] and chances there.

    References
    ----------
    buckland_2001
    """
    return math.sqrt(2 * float(np.trapezoid(chance * distance_m, distance_m)))


def cue_chance(rate_per_min: float, minutes: ArrayLike) -> FloatArray:
    """Chance of at least one display in some minutes, ``1 - exp(-phi t)``.

    Parameters
    ----------
    rate_per_min : phi [1/min].
    minutes : any shape [min].

    References
    ----------
    farnsworth_2002

    Examples
    --------
    >>> round(float(cue_chance(0.2578, 4.0)), 3)
    0.643
    """
    chance: FloatArray = -np.expm1(-rate_per_min * np.asarray(minutes, dtype=float))
    return chance


def best_minutes(rate_per_min: float, walk_min: float) -> float:
    """Minutes at a stop that hear most for the time, when the next stop is a walk away.

    Parameters
    ----------
    rate_per_min : phi [1/min].
    walk_min : walk to the next stop [min].

    Returns
    -------
    float
        The t that makes ``(1 - exp(-phi t)) / (t + w)`` largest: ``exp(phi t) = 1 + phi (t + w)`` [min].
    """
    low, high = 0.0, walk_min + 60 / rate_per_min
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        too_long = math.expm1(rate_per_min * middle) > rate_per_min * (middle + walk_min)
        low, high = (low, middle) if too_long else (middle, high)
    return (low + high) / 2


def any_of(chances: FloatArray, axis: int = -1) -> FloatArray:
    """Chance of at least one of independent events along an axis.

    Parameters
    ----------
    chances : any shape [1].
    axis : along which they are joined.
    """
    joined: FloatArray = 1 - np.prod(1 - np.asarray(chances, dtype=float), axis=axis)
    return joined
