"""The chance to hear one display by its level, and the radius that chances by distance come to.

Where the level comes from is the business of the sound_*.py; displays over minutes are bouts.py's.
"""

import math

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray


@njit(cache=True, nogil=True, error_model="numpy")
def normal_chance(deviation):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Probability that a standard normal number lies below ``deviation``, one number at a time."""
    return 0.5 * math.erfc(-deviation * 0.7071067811865476)


@njit(cache=True, nogil=True, error_model="numpy")
def _normal_chances(deviations):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Do the same for a flat array."""
    chances = np.empty_like(deviations)
    for i in range(deviations.size):
        chances[i] = normal_chance(deviations[i])
    return chances


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
