"""Joining scores of several ingredients into one suitability.

Which ingredient is limiting and which compensating is on the species card.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hushwalk.errors import SettingsError

FloatArray = NDArray[np.float64]


def limiting_product(scores: Sequence[ArrayLike], weights: Sequence[float]) -> FloatArray:
    """Multiply the scores of what a bird cannot do without.

    Parameters
    ----------
    scores : arrays of one shape, 0..1; NaN where unknown.
    weights : one for each, 0 or more; 1 lets the score work in full, 0 not at all.

    Returns
    -------
    ndarray
        0..1; NaN where no score is known.

    Notes
    -----
    The product of ``score ** weight``. One score of 0 makes 0 whatever the others are. A score that is unknown in a
    cell is left out there, it does not count as 0. The product rather than the least of the scores, because two faults
    are worse than one, and because the published multipliers of type, age and canopy were made to be multiplied.

    Examples
    --------
    >>> limiting_product([[0.5, 0.5], [0.4, float("nan")]], [1.0, 1.0]).tolist()
    [0.2, 0.5]
    """
    stack, weight = _checked(scores, weights)
    known = np.isfinite(stack)
    powers = np.where(known, np.power(np.where(known, stack, 1.0), weight), 1.0)
    return np.where(known.any(axis=0), powers.prod(axis=0), np.nan)


def compensating_mean(scores: Sequence[ArrayLike], weights: Sequence[float]) -> FloatArray:
    """Average the scores of what can make up for each other.

    Parameters
    ----------
    scores : arrays of one shape, 0..1; NaN where unknown.
    weights : one for each, 0 or more.

    Returns
    -------
    ndarray
        0..1; NaN where nothing with a weight is known.

    Notes
    -----
    The weighted arithmetic mean. The weight of a score that is unknown in a cell is shared by the others there.

    Examples
    --------
    >>> compensating_mean([[1.0, 1.0], [0.0, float("nan")]], [3.0, 1.0]).tolist()
    [0.75, 1.0]
    """
    stack, weight = _checked(scores, weights)
    known = np.isfinite(stack)
    total = np.where(known, weight, 0.0).sum(axis=0)
    worth = np.where(known, stack, 0.0) * weight
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(total > 0, worth.sum(axis=0) / total, np.nan)


def lift(compensating: ArrayLike, floor: float) -> FloatArray:
    """Turn a compensating mean into the factor that it puts on limited ground.

    Parameters
    ----------
    compensating : mean score, any shape, 0..1; NaN counts as 1, nothing is known against the ground.
    floor : factor where the mean is 0, between 0 and 1.

    Notes
    -----
    ``floor + (1 - floor) * mean``, so that good ground in poor surroundings keeps a share of its worth.

    Examples
    --------
    >>> lift([0.0, 0.5, 1.0], 0.5).tolist()
    [0.5, 0.75, 1.0]
    """
    if not 0 <= floor <= 1:
        raise SettingsError(f"the floor of the compensating ingredients lies between 0 and 1, got {floor}")
    mean = np.nan_to_num(np.asarray(compensating, dtype=float), nan=1.0)
    return np.asarray(floor + (1 - floor) * mean)


def _checked(scores: Sequence[ArrayLike], weights: Sequence[float]) -> tuple[FloatArray, FloatArray]:
    if len(scores) != len(weights) or not scores:
        raise SettingsError(f"{len(scores)} scores need as many weights, at least one; got {len(weights)}")
    stack = np.stack([np.asarray(score, dtype=float) for score in scores])
    weight = np.asarray(weights, dtype=float).reshape((-1,) + (1,) * (stack.ndim - 1))
    if not np.all(weight >= 0):
        raise SettingsError(f"weights are 0 or more, got {list(weights)}")
    if np.any((stack < 0) | (stack > 1)):
        raise SettingsError("scores lie between 0 and 1; pass measured values through their curve first")
    return stack, weight
