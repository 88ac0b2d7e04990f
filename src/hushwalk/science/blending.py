"""Joining scores of several ingredients into one suitability.

Which ingredient is limiting and which compensating is on the species card.
"""

from collections.abc import Sequence

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray


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
    fields, weight = _checked(scores, weights)
    product, known = np.ones(fields[0].size), np.zeros(fields[0].size, dtype=np.bool_)
    for field, power in zip(fields, weight, strict=True):
        _check_scores(_multiply(field.ravel(), power, product, known))
    return np.where(known, product, np.nan).reshape(np.shape(scores[0]))


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
    fields, weight = _checked(scores, weights)
    worth, total = np.zeros(fields[0].size), np.zeros(fields[0].size)
    for field, share in zip(fields, weight, strict=True):
        _check_scores(_add(field.ravel(), share, worth, total))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(total > 0, worth / total, np.nan).reshape(np.shape(scores[0]))


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


def _checked(scores: Sequence[ArrayLike], weights: Sequence[float]) -> tuple[list[FloatArray], list[float]]:
    if len(scores) != len(weights) or not scores:
        raise SettingsError(f"{len(scores)} scores need as many weights, at least one; got {len(weights)}")
    fields = [np.ascontiguousarray(score, dtype=float) for score in scores]
    if any(field.shape != fields[0].shape for field in fields):
        raise SettingsError(f"scores of one shape are joined, got {[field.shape for field in fields]}")
    weight = [float(each) for each in weights]
    if not all(each >= 0 for each in weight):
        raise SettingsError(f"weights are 0 or more, got {weight}")
    return fields, weight


def _check_scores(right: bool) -> None:
    if not right:
        raise SettingsError("scores lie between 0 and 1; pass measured values through their curve first")


@njit(cache=True, nogil=True)
def _multiply(  # pragma: no cover  compiled
    score: FloatArray, power: float, product: FloatArray, known: NDArray[np.bool_]
) -> bool:
    for k in range(score.size):
        value = score[k]
        if value < 0 or value > 1:
            return False
        if value == value:  # noqa: PLR0124  false for NaN only
            product[k] *= value if power == 1.0 else value**power
            known[k] = True
    return True


@njit(cache=True, nogil=True)
def _add(score: FloatArray, share: float, worth: FloatArray, total: FloatArray) -> bool:  # pragma: no cover  compiled
    for k in range(score.size):
        value = score[k]
        if value < 0 or value > 1:
            return False
        if value == value:  # noqa: PLR0124  false for NaN only
            worth[k] += value * share
            total[k] += share
    return True
