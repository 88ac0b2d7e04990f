"""Known birds against expected ones by steps of suitability, with the limits of a count.

One number for all steps together is evidence.py's business.
"""

from dataclasses import dataclass

import numpy as np
from scipy.stats import chi2

from hushwalk.errors import InputError
from hushwalk.types import FloatArray

SIDES = (0.025, 0.975)  # definition: 95 %


@dataclass(frozen=True)
class Interval:
    """A value with its 95 % interval; NaN where it cannot be told."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Bin:
    """One step of suitability.

    Parameters
    ----------
    low, high : limits.
    ground_share : of the ground that was looked at.
    males_share : of the males that are expected on it.
    birds : known there.
    expected : birds, if they were spread as the males are expected.
    ratio : known over expected, with the exact interval of a Poisson count.
    """

    low: float
    high: float
    ground_share: float
    males_share: float
    birds: int
    expected: float
    ratio: Interval


def calibration(birds: FloatArray, ground: FloatArray, males: FloatArray, n_bins: int = 10) -> tuple[Bin, ...]:
    """Known birds against expected males by steps of suitability.

    Parameters
    ----------
    birds : shape (n,), suitability where birds are known.
    ground, males : shape (m,), suitability and expected males of the ground.
    n_bins : of equal width from 0 to 1; steps without ground are left out.

    Returns
    -------
    tuple of Bin
        One a step of suitability.

    Raises
    ------
    InputError
        If something does not fit, naming what.

    References
    ----------
    garwood_1936
    """
    if males.shape != ground.shape or not males.sum() > 0:
        raise InputError("calibration needs as many males as ground, and some male at all")
    edges = np.linspace(0, 1, n_bins + 1)
    place = np.clip(np.searchsorted(edges, ground, side="right") - 1, 0, n_bins - 1)
    seen = np.bincount(np.clip(np.searchsorted(edges, birds, side="right") - 1, 0, n_bins - 1), minlength=n_bins)
    held = np.bincount(place, minlength=n_bins) / len(ground)
    share = np.bincount(place, weights=males, minlength=n_bins) / males.sum()
    return tuple(
        Bin(
            float(edges[k]),
            float(edges[k + 1]),
            float(held[k]),
            float(share[k]),
            int(seen[k]),
            float(share[k] * len(birds)),
            _poisson_ratio(int(seen[k]), float(share[k] * len(birds))),
        )
        for k in range(n_bins)
        if held[k] > 0 or seen[k] > 0
    )


def poisson_limits(count: int) -> tuple[float, float]:
    """Exact 95 % limits of the mean of a Poisson count.

    References
    ----------
    garwood_1936
    """
    low = float(chi2.ppf(SIDES[0], 2 * count)) / 2 if count > 0 else 0.0
    return low, float(chi2.ppf(SIDES[1], 2 * count + 2)) / 2


def _poisson_ratio(count: int, expected: float) -> Interval:
    if expected <= 0:
        return Interval(float("nan"), float("nan"), float("nan"))
    low, high = poisson_limits(count)
    return Interval(count / expected, low / expected, high / expected)
