"""How well a surface agrees with places where birds are known: ranks and areas under curves, with intervals.

Arrays only; counts by steps are calibration.py's business, reading known places is season/validation.py's.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import rankdata

from hushwalk.errors import InputError
from hushwalk.habitat.calibration import SIDES, Bin, Interval, calibration
from hushwalk.types import FloatArray

FEWEST = 30
"""Judgement: three a bin of ten; fewer birds leave most bins to chance."""

WINDOW = 0.1  # hirzel_2006: a tenth of the range
FOCALS = 101  # judgement: steps of a hundredth of the range
REPEATS = 1000  # judgement: the ends of a 95 % interval are then steady to a hundredth or so


@dataclass(frozen=True)
class Evidence:
    """Agreement of a surface with known birds.

    Parameters
    ----------
    birds : groups of points that count as one bird.
    boyce : of bins (boyce_2002).
    continuous : of a moving window (hirzel_2006).
    auc : chance that a known bird stands on better ground than a place taken at random.
    bins : calibration.
    """

    birds: int
    boyce: Interval
    continuous: Interval
    auc: Interval
    bins: tuple[Bin, ...] = field(repr=False)

    @property
    def enough(self) -> bool:
        """Whether there are birds enough to speak of a validation."""
        return self.birds >= FEWEST


def boyce_index(at_birds: ArrayLike, ground: ArrayLike, n_bins: int = 10) -> float:
    """Rank correlation of bins of suitability with the birds they hold for their area.

    Parameters
    ----------
    at_birds : shape (n,), suitability where birds are known.
    ground : shape (m,), suitability of the ground that was looked at.
    n_bins : of equal width over the range of the ground.

    Returns
    -------
    float
        -1 .. 1; NaN where fewer than three bins hold ground or all hold the same for their area.

    References
    ----------
    boyce_2002
    """
    birds, all_ground = _checked(at_birds, ground)
    edges = np.linspace(all_ground.min(), all_ground.max(), n_bins + 1)
    held = np.histogram(all_ground, edges)[0] / len(all_ground)
    seen = np.histogram(np.clip(birds, edges[0], edges[-1]), edges)[0] / len(birds)
    has = held > 0
    return _spearman(np.arange(n_bins)[has], seen[has] / held[has])


def continuous_boyce(at_birds: ArrayLike, ground: ArrayLike, window: float = WINDOW) -> float:
    """Rank correlation with suitability of the birds for their area in a window that moves over its range.

    Parameters
    ----------
    at_birds, ground : as for :func:`boyce_index`.
    window : share of the range.

    Returns
    -------
    float
        -1 .. 1; NaN where it cannot be told.

    References
    ----------
    hirzel_2006
    """
    birds, all_ground = _checked(at_birds, ground)
    return _continuous(birds, np.sort(all_ground), window)


def _continuous(birds: FloatArray, ground: FloatArray, window: float) -> float:
    low, high = ground[0], ground[-1]
    wide = (high - low) * window
    begin = np.linspace(low, high - wide, FOCALS)
    seen, held = (_within(np.sort(values), begin, wide) / len(values) for values in (birds, ground))
    has = held > 0
    return _spearman(begin[has], seen[has] / held[has])


def _within(sorted_values: FloatArray, begin: FloatArray, wide: float) -> FloatArray:
    last = np.searchsorted(sorted_values, begin + wide * (1 + 1e-12), side="right")
    return np.asarray(last - np.searchsorted(sorted_values, begin, side="left"), dtype=float)


def auc(at_birds: ArrayLike, ground: ArrayLike) -> float:
    """Chance that a known bird stands on better ground than a place taken at random, ties counting one half.

    Parameters
    ----------
    at_birds, ground : as for :func:`boyce_index`.

    References
    ----------
    mann_whitney_1947

    Examples
    --------
    >>> auc([0.9, 0.5], [0.1, 0.5])
    0.875
    """
    birds, all_ground = _checked(at_birds, ground)
    return _auc(birds, np.sort(all_ground))


def _auc(birds: FloatArray, ground: FloatArray) -> float:
    below = np.searchsorted(ground, birds, side="left")
    same = np.searchsorted(ground, birds, side="right") - below
    return float((below + same / 2).mean() / len(ground))


def weigh_evidence(
    at_birds: ArrayLike,
    groups: ArrayLike,
    ground: ArrayLike,
    males: ArrayLike,
    rng: np.random.Generator,
    n_bins: int = 10,
) -> Evidence:
    """Hold a surface against known birds.

    Parameters
    ----------
    at_birds : shape (n,), suitability where birds are known.
    groups : shape (n,), points of one number count as one bird.
    ground, males : shape (m,), suitability of the ground that was looked at, and the males expected on it.
    rng : for the intervals.
    n_bins : steps of the calibration.

    Returns
    -------
    Evidence

    Raises
    ------
    InputError
        If there are no birds or no ground, or a value is unknown.

    Notes
    -----
    Intervals come from drawing the birds again with replacement, whole groups at a time; the ground stays. They do not
    hold what birds were missed where nobody looked.
    """
    points, all_ground = _checked(at_birds, ground)
    named, number = np.unique(np.asarray(groups), return_inverse=True)
    birds = np.bincount(number, weights=points) / np.bincount(number)
    ordered = np.sort(all_ground)
    draws = [birds[rng.integers(0, len(named), len(named))] for _ in range(REPEATS)]
    return Evidence(
        birds=len(named),
        boyce=_interval(boyce_index(birds, all_ground, n_bins), [_of_bins(d, ordered, n_bins) for d in draws]),
        continuous=_interval(continuous_boyce(birds, all_ground), [_continuous(d, ordered, WINDOW) for d in draws]),
        auc=_interval(_auc(birds, ordered), [_auc(d, ordered) for d in draws]),
        bins=calibration(birds, all_ground, np.asarray(males, dtype=float), n_bins),
    )


def _of_bins(birds: FloatArray, ordered: FloatArray, n_bins: int) -> float:
    edges = np.linspace(ordered[0], ordered[-1], n_bins + 1)
    upto = np.searchsorted(ordered, edges, side="left")
    upto[-1] = len(ordered)
    held = np.diff(upto) / len(ordered)
    seen = np.histogram(np.clip(birds, edges[0], edges[-1]), edges)[0] / len(birds)
    return _spearman(np.arange(n_bins)[held > 0], seen[held > 0] / held[held > 0])


def _interval(value: float, draws: list[float]) -> Interval:
    known = np.array([draw for draw in draws if np.isfinite(draw)])
    if not np.isfinite(value) or len(known) == 0:
        return Interval(float("nan"), float("nan"), float("nan"))
    low, high = np.quantile(known, SIDES).tolist()
    return Interval(value, low, high)


def _spearman(order: NDArray[np.generic], ratio: FloatArray) -> float:
    if len(ratio) < 3 or np.ptp(ratio) == 0:  # noqa: PLR2004  two points always lie on a line
        return float("nan")
    return float(np.corrcoef(rankdata(order), rankdata(ratio))[0, 1])


def _checked(at_birds: ArrayLike, ground: ArrayLike) -> tuple[FloatArray, FloatArray]:
    birds, all_ground = (np.asarray(values, dtype=float).ravel() for values in (at_birds, ground))
    if len(birds) == 0 or len(all_ground) == 0:
        raise InputError(f"evidence needs birds and ground, got {len(birds)} points and {len(all_ground)} cells")
    if not (np.isfinite(birds).all() and np.isfinite(all_ground).all()):
        raise InputError("evidence needs known suitability at every bird and on all ground; leave unknown ones out")
    return birds, all_ground
