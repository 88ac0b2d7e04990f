"""What leaves, needles and twigs take from a sound.

How much of a path lies in which cover is found by whoever holds the map.
"""

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from hushwalk.science.sound_tables import between_bands, sound_table
from hushwalk.types import FloatArray

FACTOR_STEPS = 20


def foliage_db(octave_hz: float, crossed_m: ArrayLike) -> FloatArray:
    """Loss through dense foliage in an octave band, as the standard prints it.

    Parameters
    ----------
    octave_hz : one of 63, 125 ... 8000 [Hz].
    crossed_m : length of the path in foliage, any shape [m].

    Returns
    -------
    ndarray
        [dB].

    References
    ----------
    iso_9613_2_1996, table A.1.

    Examples
    --------
    >>> float(foliage_db(63.0, 500.0))
    4.0
    """
    table = sound_table("foliage")
    at = table["band_hz"].index(octave_hz)
    d = np.asarray(crossed_m, dtype=float)
    long = table["per_m_db"][at] * np.minimum(d, table["to_m"])
    short = np.where(d >= table["short_from_m"], float(table["short_db"][at]), 0.0)
    loss: FloatArray = np.where(d >= table["from_m"], long, short)
    return loss


def foliage_db_per_m(bands_hz: FloatArray) -> FloatArray:
    """Loss of dense foliage for each metre between 20 and 200 m, in third-octave bands.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].

    Returns
    -------
    ndarray, shape (n,)
        Straight between octaves along the logarithm of frequency; below 63 Hz in proportion to it [dB/m].

    References
    ----------
    iso_9613_2_1996, table A.1.
    """
    table = sound_table("foliage")
    hz = np.array(table["band_hz"], dtype=float)
    per_m = between_bands(bands_hz, hz, np.array(table["per_m_db"], dtype=float))
    loss: FloatArray = per_m * np.minimum(bands_hz / hz[0], 1.0)
    return loss


def factor_steps(factor: FloatArray) -> NDArray[np.int8]:
    """Round cover factors 0..1 to steps of 0.05, the form in which paths count them.

    Parameters
    ----------
    factor : any shape [1]; NaN becomes -1.

    Returns
    -------
    ndarray of int8
        0..20, or -1 where unknown.
    """
    known = np.isfinite(factor)
    return np.where(known, np.rint(np.where(known, factor, 0.0) * FACTOR_STEPS), -1).astype(np.int8)


@njit(cache=True, nogil=True, error_model="numpy")
def dense_metres(steps_crossed, step_m, from_m, to_m):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Length of dense foliage that takes as much as the cover crossed.

    Parameters
    ----------
    steps_crossed : shape (21,) number of path pieces in each step of the cover factor.
    step_m : length of one piece [m].
    from_m, to_m : length in foliage from which it counts, and beyond which it takes no more [m].

    Returns
    -------
    float
        Factor times length over the densest ``to_m`` of the path, 0 where less than ``from_m`` lies in foliage [m].

    Notes
    -----
    The standard lets foliage take no more beyond 200 m. Over mixed cover the densest 200 m are counted, so that
    more foliage can never make a sound louder.
    """
    left, dense, inside = to_m, 0.0, 0.0
    for step in range(len(steps_crossed) - 1, 0, -1):
        length = steps_crossed[step] * step_m
        inside += length
        taken = min(length, left)
        dense += taken * step / (len(steps_crossed) - 1)
        left -= taken
    # a hair of tolerance, so that rounding in the step length does not move the threshold
    return dense if inside >= from_m - 1e-6 else 0.0
