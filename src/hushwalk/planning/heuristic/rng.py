"""Random numbers for compiled code: a small generator whose state is passed in, so that threads do not share it.

The seed comes from a numpy Generator; nothing outside the search uses these.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

Rng = NDArray[np.uint64]


@njit(cache=True)
def seeded(seed: int) -> Rng:
    """Make the state for a seed.

    Notes
    -----
    The xorshift64* generator; the seed is mixed with an odd constant so that small seeds differ at once.

    References
    ----------
    marsaglia_2003, vigna_2016
    """
    state = np.empty(1, np.uint64)
    state[0] = np.uint64(seed) * np.uint64(0x9E3779B97F4A7C15) + np.uint64(0x2545F4914F6CDD1D)
    if state[0] == np.uint64(0):
        state[0] = np.uint64(1)
    for _ in range(8):
        uniform(state)
    return state


@njit(cache=True)
def uniform(rng: Rng) -> float:
    """Draw a number from 0 up to, but not including, 1."""
    x = rng[0]
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    rng[0] = x
    return float((x * np.uint64(0x2545F4914F6CDD1D)) >> np.uint64(11)) * 1.1102230246251565e-16


@njit(cache=True)
def integer_below(rng: Rng, many: int) -> int:
    """Draw a whole number from 0 to ``many`` - 1."""
    return int(uniform(rng) * many)
