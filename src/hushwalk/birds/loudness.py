"""One bird is loud or faint at all stops of a morning: the chance to be heard at each, loudness by loudness.

How these are put together with bearings and habitat is posterior.py's business.
"""

import numpy as np
from scipy.special import log_ndtr, ndtr, ndtri

from hushwalk.types import FloatArray

NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
"""Definition: loudness in standard deviations, and the weight of each, for Gauss-Hermite quadrature."""
SURE = 1e-9  # judgement: nothing about a bird is surer than this
NONE = 1e-6  # judgement: where even a loud bird is not heard, silence tells nothing
FAINTEST = float(np.log(1e-300))  # judgement: keeps sums of logarithms finite


def heard_table(chance: FloatArray, shared: float) -> FloatArray:
    """Log chance that a stop hears the bird, by loudness and place, shape (9, n).

    Parameters
    ----------
    chance : shape (n,), to hear one display of a bird of unknown loudness.
    shared : how much of it is the same at all stops, 0 to below 1.

    Returns
    -------
    ndarray
        Logarithm of the chance, at most 0, shape (9, n): a row a node of the loudness.

    Notes
    -----
    Phi((Phi^-1(p) + sqrt(r) z) / sqrt(1 - r)), z standard normal.
    """
    return np.asarray(np.maximum(log_ndtr(_edge(chance, shared)), FAINTEST), dtype=np.float64)


def silent_table(chance: FloatArray, displayed: float, shared: float) -> FloatArray:
    """Log chance that a stop does not hear the bird, by loudness and place, shape (9, n).

    Parameters
    ----------
    chance, shared : as in :func:`heard_table`.
    displayed : chance that the bird displayed in those minutes at all.

    Returns
    -------
    ndarray
        Logarithm of the chance, at most 0, shape (9, n): a row a node of the loudness.
    """
    table = np.zeros((len(NODES), len(chance)))
    some = chance > NONE
    table[:, some] = np.log1p(-np.minimum(displayed * ndtr(_edge(chance[some], shared)), 1 - SURE))
    return table


def over_loudness(table: FloatArray) -> FloatArray:
    """Sum a table of logarithms, shape (9, n), over the loudness; shape (n,)."""
    return log_sum(table + np.log(WEIGHTS / WEIGHTS.sum())[:, None])


def log_sum(logs: FloatArray) -> FloatArray:
    """Log of a sum of exponentials over the first axis, without overflow."""
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).sum(axis=0)), dtype=np.float64)


def _edge(chance: FloatArray, shared: float) -> FloatArray:
    edge = ndtri(np.clip(chance, SURE, 1 - SURE))
    return np.asarray((edge[None, :] + np.sqrt(shared) * NODES[:, None]) / np.sqrt(1 - shared))
