"""How a sound thins out with distance, and what a few decibels mean in metres.

What lies on the way takes more; see the other sound_*.py.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

NEAREST_M = 1.0


def spreading_db(distance_m: ArrayLike) -> FloatArray:
    """Loss by spherical spreading from the level at 1 m.

    Parameters
    ----------
    distance_m : any shape [m]; nearer than 1 m counts as 1 m.

    Returns
    -------
    ndarray
        ``20 lg(r)`` [dB].

    References
    ----------
    iso_9613_2_1996, equation 7 less the 11 dB that lead from sound power to the level at 1 m.

    Examples
    --------
    >>> round(float(spreading_db(100.0)), 1)
    40.0
    """
    loss: FloatArray = 20 * np.log10(np.maximum(np.asarray(distance_m, dtype=float), NEAREST_M))
    return loss
