"""One bird is loud or faint at all stops of a morning: the chance to be heard at each, loudness by loudness.

How these are put together with bearings and habitat is posterior.py's business.
"""

import numpy as np
from scipy.special import ndtr, ndtri

from hushwalk.types import FloatArray

NODES, _PLAIN_WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
NODE_WEIGHTS = _PLAIN_WEIGHTS / _PLAIN_WEIGHTS.sum()
"""Definition: loudness in standard deviations, and the weight of each, for Gauss-Hermite quadrature."""
SURE = 1e-9  # judgement: nothing about a bird is surer than this
NONE = 1e-6  # judgement: where even a loud bird is not heard, silence tells nothing
TINY = 1e-300  # judgement: keeps logarithms finite
FAINTEST = 1e-60  # judgement: keeps products of a few chances above the least number there is


def heard_table(chance: FloatArray, shared: float) -> FloatArray:
    """Chance that a stop hears the bird, by place and loudness, shape (n, 9).

    Parameters
    ----------
    chance : shape (n,), to hear one display of a bird of unknown loudness.
    shared : how much of it is the same at all stops, 0 to below 1.

    Returns
    -------
    ndarray
        Chance, 0..1, shape (n, 9): a column a node of the loudness.

    Notes
    -----
    Phi((Phi^-1(p) + sqrt(r) z) / sqrt(1 - r)), z standard normal.
    """
    return np.asarray(np.maximum(ndtr(_edge(chance, shared)), FAINTEST), dtype=np.float64)


def silent_table(chance: FloatArray, displayed: float, shared: float) -> FloatArray:
    """Chance that a stop does not hear the bird, by place and loudness, shape (n, 9).

    Parameters
    ----------
    chance, shared : as in :func:`heard_table`.
    displayed : chance that the bird displayed in those minutes at all.

    Returns
    -------
    ndarray
        Chance, above 0, shape (n, 9): a column a node of the loudness.
    """
    table = np.ones((len(chance), len(NODES)))
    some = chance > NONE
    table[some] = 1 - np.minimum(displayed * ndtr(_edge(chance[some], shared)), 1 - SURE)
    return table


def over_loudness(table: FloatArray) -> FloatArray:
    """Mean of a table of chances, shape (n, 9), over the loudness; shape (n,)."""
    return np.asarray(table @ NODE_WEIGHTS, dtype=np.float64)


def log_over_loudness(table: FloatArray) -> FloatArray:
    """Logarithm of that mean, finite everywhere; shape (n,)."""
    return np.asarray(np.log(np.maximum(over_loudness(table), TINY)), dtype=np.float64)


def _edge(chance: FloatArray, shared: float) -> FloatArray:
    edge = ndtri(np.clip(chance, SURE, 1 - SURE))
    return np.asarray((edge[:, None] + np.sqrt(shared) * NODES) / np.sqrt(1 - shared))
