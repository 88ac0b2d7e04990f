"""The person's own bearings, learnt from males later found: spread, strays and mean error together.

Which bearing belongs to which log is known_males.py's business; what they do to a fix is posterior.py's.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.birds.posterior import TURN_NODES, TURN_WEIGHTS
from hushwalk.errors import InputError
from hushwalk.notes.bearing import STRAYS_MAX
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_density
from hushwalk.science.crossing import turned
from hushwalk.science.search_theory import crossing_area_m2
from hushwalk.types import FloatArray

FEWEST_BEARINGS = 10
"""Judgement: fewer say nothing that the prior does not."""
PRIOR_LN_SD = 0.5
"""Judgement: two thirds of all people err between 0.6 and 1.6 times the default."""
PRIOR_BIAS_DEG = 8.0
"""Judgement: a compass held or set wrong turns all bearings by as much."""
PRIOR_SHARED_DEG = 8.0
"""Judgement: means of real bearings by day scatter by some 9 degrees in one data set of an observer."""
PRIOR_BEARINGS = 20.0
"""Judgement: the usual share of strays weighs as much as twenty bearings of the person's own."""
ENDS = (0.025, 0.975)
"""Definition: of a 95 % interval."""
CAUTIOUS = 0.84
"""Judgement: one standard error above the middle: ground drawn too small loses the bird, too large costs minutes."""
EXAMPLE_M, EXAMPLE_DEG = (150.0, 150.0), 75.0
"""Definition: two bearings whose lines cross so far off and at such an angle, to show what an error costs."""


@dataclass(frozen=True)
class Estimate:
    """A figure with its 95 % interval; the figure of a spread or a share is one standard error above the middle."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class BearingFit:
    """How a person points.

    Parameters
    ----------
    sd_deg, low_deg, high_deg : standard deviation of each bearing's own error, with its 95 % interval [deg].
    bias : mean error, clockwise above 0 [deg].
    shared : standard deviation of the error that all bearings to one bird on one morning share [deg].
    strays : share of bearings that point anywhere.
    n : bearings that it rests on.
    """

    sd_deg: float
    low_deg: float
    high_deg: float
    bias: Estimate
    shared: Estimate
    strays: Estimate
    n: int

    @property
    def bias_deg(self) -> float:
        """Mean error [deg]."""
        return self.bias.value

    @property
    def example_ha(self) -> tuple[float, float, float]:
        """80 % ground of two bearings at 150 m that cross at 75 degrees: at the figure, and at both ends [ha]."""
        low, middle, high = (
            crossing_area_m2(EXAMPLE_M, sd, EXAMPLE_DEG, figure("search", "share")) / 1e4
            for sd in (self.low_deg, self.sd_deg, self.high_deg)
        )
        return middle, low, high


def fit_bearings(
    errors_deg: ArrayLike,
    *,
    birds: Sequence[Hashable] | None = None,
    factors: ArrayLike = 1.0,
    stray_factors: ArrayLike = 1.0,
    weights: ArrayLike = 1.0,
) -> BearingFit:
    """Learn how a person points from bearings to males later found.

    Parameters
    ----------
    errors_deg : shape (n,), n >= 10, bearing taken less true bearing, of any winding [deg].
    birds : to which bird and on which morning each was taken; None where each error is its own.
    factors, stray_factors : of the spread and of the strays, by how sure each bearing was said to be.
    weights : how much each counts, 0 to 1; bearings of one stop to one bird share their error.

    Returns
    -------
    BearingFit
        Cautious figures and 95 % intervals of the posterior; the mean error is the median.

    Raises
    ------
    InputError
        If there are fewer than 10 bearings, or one is not a number.

    Notes
    -----
    Errors are von Mises round the mean error and a turn that the bearings to one bird share, and a share of them
    points anywhere, as in a fix. The prior of the spread is log-normal round the usual one, those of the mean error
    and of the shared turn are normal round 0, that of the strays is a beta law round the usual share; all four are
    summed over together on a grid, the turn of each bird by Gauss-Hermite quadrature.
    """
    errors = np.atleast_1d(np.asarray(errors_deg, dtype=float))
    if not np.all(np.isfinite(errors)):
        raise InputError("a bearing error is not a number; mend the record or leave it out")
    if errors.size < FEWEST_BEARINGS:
        raise InputError(f"{errors.size} bearings are too few to tell their error; take at least {FEWEST_BEARINGS}")
    each = [np.broadcast_to(np.asarray(v, dtype=float), errors.shape) for v in (factors, stray_factors, weights)]
    names = list(range(errors.size)) if birds is None else list(birds)
    grids = _grids(turned(errors), each[0], alone=birds is None)
    log_post = _prior(grids)
    for name in dict.fromkeys(names):
        own = np.array([other == name for other in names])
        log_post += _log_of_bird(errors[own], [v[own] for v in each], grids)
    post = np.exp(log_post - log_post.max())
    sd, bias, strays, shared = (
        _estimate(places, post.sum(axis=tuple(k for k in range(4) if k != axis)), 0.5 if axis == 1 else CAUTIOUS)
        for axis, places in enumerate((grids.spreads, grids.means, grids.strays, grids.shared))
    )
    return BearingFit(sd.value, sd.low, sd.high, bias, shared, strays, int(errors.size))


@dataclass(frozen=True, eq=False)
class _Grids:
    """Values that are summed over: spread [deg], mean error [deg], share of strays, spread of the shared turn [deg]."""

    spreads: FloatArray
    means: FloatArray
    strays: FloatArray
    shared: FloatArray


def _grids(errors: FloatArray, factors: FloatArray, *, alone: bool) -> _Grids:
    """Lay the grids where the posterior lies: round the middle errors, wider the fewer there are."""
    middle = float(np.median(errors))
    rough = float(np.clip(1.4826 * np.median(np.abs(errors - middle) / factors), 3.0, 40.0))
    narrow = 6 / np.sqrt(errors.size)
    half = min(30.0, narrow * rough + (3.0 if alone else 12.0))
    reach = np.exp(narrow / np.sqrt(2) + 0.4)
    return _Grids(
        np.geomspace(max(1.5, rough / reach), min(70.0, rough * reach), 30),
        np.linspace(middle - half, middle + half, 41),
        np.geomspace(0.004, 0.5, 14),
        np.zeros(1) if alone else np.linspace(0.5, 18.5, 7),
    )


def _log_of_bird(errors: FloatArray, each: Sequence[FloatArray], grids: _Grids) -> FloatArray:
    """Log likelihood of the bearings to one bird, shape (spreads, means, strays, shared)."""
    nodes = TURN_NODES if len(grids.shared) > 1 and len(errors) > 1 else np.zeros(1)
    node_weights = TURN_WEIGHTS if len(nodes) > 1 else np.ones(1)
    if len(errors) == 1:  # one bearing cannot tell its own error from the shared one: both together
        return _log_alone(float(errors[0]), [float(v[0]) for v in each], grids)
    found = np.full((*grids.spreads.shape, *grids.means.shape, *grids.strays.shape, *grids.shared.shape), -np.inf)
    for z, node_weight in zip(nodes, node_weights, strict=True):
        part = np.full(found.shape, np.log(node_weight))
        for error, factor, stray, weight in zip(errors, *each, strict=True):
            wrong = np.minimum(grids.strays * stray, STRAYS_MAX)[None, None, :, None]
            kappa = _kappas(grids.spreads * factor)[:, None, None]
            aimed = von_mises_density(error - grids.means[None, :, None] - z * grids.shared[None, None, :], kappa)
            part += weight * np.log((1 - wrong) * aimed[:, :, None, :] + wrong / (2 * np.pi))
        found = np.logaddexp(found, part)
    return found


def _log_alone(error: float, each: Sequence[float], grids: _Grids) -> FloatArray:
    factor, stray, weight = each
    wrong = np.minimum(grids.strays * stray, STRAYS_MAX)[None, None, :, None]
    both = np.hypot(grids.spreads[:, None] * factor, grids.shared[None, :])
    aimed = von_mises_density(error - grids.means[None, :, None], _kappas(both)[:, None, :])
    return np.asarray(weight * np.log((1 - wrong) * aimed[:, :, None, :] + wrong / (2 * np.pi)), dtype=np.float64)


def _kappas(sd_deg: FloatArray) -> FloatArray:
    return np.array([kappa_of_sd(round(float(sd), 2)) for sd in sd_deg.ravel()]).reshape(sd_deg.shape)


def _prior(grids: _Grids) -> FloatArray:
    """Log prior, shape (spreads, means, strays, shared), on grids even in the logarithm for spread and strays."""
    usual, strays = figure("bearing", "sd_deg"), figure("bearing", "stray_share")
    a, b = PRIOR_BEARINGS * strays, PRIOR_BEARINGS * (1 - strays)
    of_spread = -0.5 * (np.log(grids.spreads / usual) / PRIOR_LN_SD) ** 2
    of_mean = -0.5 * (grids.means / PRIOR_BIAS_DEG) ** 2
    of_strays = a * np.log(grids.strays) + (b - 1) * np.log1p(-grids.strays)
    of_shared = -0.5 * (grids.shared / PRIOR_SHARED_DEG) ** 2
    parts = (of_spread[:, None, None, None], of_mean[:, None, None], of_strays[:, None], of_shared)
    return np.asarray(sum(parts), dtype=np.float64)


def _estimate(places: FloatArray, weight: FloatArray, quantile: float) -> Estimate:
    upto = (np.cumsum(weight) - weight / 2) / weight.sum()
    low, value, high = np.interp((ENDS[0], quantile, ENDS[1]), upto, places)
    return Estimate(float(value), float(low), float(high))
