"""A fix: where one bird probably is, as ground to search, with a point only where the bearings allow one.

posterior.py weighs bearings and silence; association.py says which bearings belong together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from hushwalk.birds.credible_ground import CredibleGround, credible_grounds, middle_m
from hushwalk.birds.posterior import EarshotParams, chance_of_place
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_density
from hushwalk.science.crossing import (
    Crossing,
    azimuth_to,
    condition,
    crossing_angle_deg,
    lenth_crossing,
    turned,
)
from hushwalk.types import FloatArray

MISFIT = 2.5  # judgement: standard deviations; one good bearing in eighty is as far off
ASTRAY = 0.5  # judgement: more likely wrong than right
SHARES = (0.5, 0.8, 0.95)
"""Definition: chances for which ground is drawn."""


class NoPoint(Enum):
    """Why the bearings of a bird give no point."""

    ONE_PLACE = "all bearings are from one place"
    PARALLEL = "the lines are too nearly parallel"
    NO_MEETING = "the lines do not meet in a place"
    TOO_FAR = "the lines meet beyond earshot"
    BEHIND = "the lines meet behind a listener"
    ONE_DIRECTION_OPEN = "the covariance is that of a line"


@dataclass(frozen=True)
class Refusal:
    """Why there is no point, and the figure that decided it: a crossing angle [deg] or a farthest distance [m]."""

    reason: NoPoint
    value: float | None = None


class FixCaution(Enum):
    """What to bear in mind about a fix."""

    ACUTE = "the lines cross at an acute angle"
    MISFIT = "a bearing does not fit the others"
    SHARED_ERROR = "bearings from one place share their error"


@dataclass(frozen=True)
class FixWarning:
    """What to bear in mind about a fix.

    Parameters
    ----------
    caution : what it is.
    angle_deg : the crossing angle, or the azimuth of the bearing that does not fit [deg].
    stop : where that bearing is from, or an empty text.
    chance : that this bearing points astray: of another bird, back to front or written wrong.
    """

    caution: FixCaution
    angle_deg: float | None = None
    stop: str = ""
    chance: float | None = None


@dataclass(frozen=True)
class FixParams:
    """When a point is given at all.

    Parameters
    ----------
    earshot : how hearing weighs in.
    huber_c : turning point of the robust weights [standard deviations].
    crossing_min_deg : below this angle lines are too nearly parallel for a point [deg].
    crossing_good_deg : below this angle a further bearing is advised [deg].
    ahead_factor : a point farther from a station than this times earshot is no point.
    condition_max : of the covariance.
    """

    earshot: EarshotParams = field(default_factory=EarshotParams)
    huber_c: float = figure("bearing", "huber_c")
    crossing_min_deg: float = figure("fix", "crossing_min_deg")
    crossing_good_deg: float = figure("fix", "crossing_good_deg")
    ahead_factor: float = figure("fix", "ahead_factor")
    condition_max: float = figure("fix", "condition_max")


@dataclass(frozen=True, eq=False)
class Fix:
    """Where one bird probably is.

    Parameters
    ----------
    bird : its name.
    bearings : what it rests on.
    chance : chance of every cell, sums to 1.
    grounds : smallest ground for a chance of 50, 80 and 95 %.
    median_m : median place, easting and northing [m]; only to steer by, the ground is the answer.
    point : maximum-likelihood place, or None where the bearings cannot give one.
    refusal : why there is no point, or None.
    warnings : what to bear in mind.
    """

    bird: str
    bearings: tuple[Bearing, ...]
    chance: Layer = field(repr=False)
    grounds: tuple[CredibleGround, ...]
    median_m: tuple[float, float]
    point: Crossing | None
    refusal: Refusal | None = None
    warnings: tuple[FixWarning, ...] = ()

    def ground(self, share: float) -> CredibleGround:
        """Ground for one of the chances drawn.

        Raises
        ------
        InputError
            If that chance was not drawn.
        """
        for ground in self.grounds:
            if abs(ground.share - share) < 1e-9:  # noqa: PLR2004 - the same figure, written twice
                return ground
        raise InputError(f"no ground was drawn for a chance of {share:g}; there is {[g.share for g in self.grounds]}")


def find_bird(
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    grid: Grid,
    *,
    habitat: Layer | None = None,
    audible: Mapping[str, Layer] | None = None,
    closed: Layer | None = None,
    chance: Layer | None = None,
    params: FixParams | None = None,
) -> Fix:
    """Fix one bird.

    Parameters
    ----------
    bearings : of this bird.
    listening : all stops of that morning, as silence tells too.
    grid : of the trip.
    habitat : prior, such as males per square kilometre.
    audible : by name of stop, chance that one display in a cell is heard there.
    closed : above 0 where no bird can be.
    chance : of every cell, where it is known already, as from all ways to share bearings out; sums to 1.
    params : when a point is refused, and how hearing weighs.

    Returns
    -------
    Fix
        Always with ground to search; with a point only where the geometry allows one.

    Raises
    ------
    InputError
        If there is no bearing.

    Notes
    -----
    Two bearings have no finite mean place, and the triangle of three holds the bird once in four times, so neither
    is given (stuart_2019). References: lenth_1981, lenth_1981_robust, gerber_2018.
    """
    params = params or FixParams()
    if not bearings:
        raise InputError("a place needs at least one bearing")
    if chance is None:
        chance = chance_of_place(
            bearings, listening, grid, habitat=habitat, audible=audible, closed=closed, params=params.earshot
        )
    grounds = credible_grounds(chance, SHARES)
    point, refusal = point_of(bearings, params)
    median = middle_m(chance)
    names = dict.fromkeys(b.bird for b in bearings)
    return Fix(
        next(iter(names)) if len(names) == 1 else "",
        tuple(bearings),
        chance,
        grounds,
        median,
        point,
        refusal,
        _warnings(bearings, chance, median, point, params),
    )


def point_of(
    bearings: Sequence[Bearing], params: FixParams | None = None
) -> tuple[Crossing, None] | tuple[None, Refusal]:
    """Maximum-likelihood point, or the reason why there is none.

    Parameters
    ----------
    bearings : of one bird.
    params : when a point is refused.
    """
    params = params or FixParams()
    stations = stations_m(bearings)
    if len(np.unique(stations, axis=0)) < 2:  # noqa: PLR2004 - lines need two ends to cross
        return None, Refusal(NoPoint.ONE_PLACE)
    azimuth = np.array([b.grid_azimuth_deg for b in bearings])
    angle = crossing_angle_deg(azimuth)
    if angle < params.crossing_min_deg:
        return None, Refusal(NoPoint.PARALLEL, float(angle))
    kappa = np.array([kappa_of_sd(b.sd_deg) for b in bearings])
    crossing = lenth_crossing(stations, azimuth, kappa=kappa, huber_c=params.huber_c)
    refusal = _refusal(crossing, stations, params)
    return (crossing, None) if refusal is None else (None, refusal)


def _refusal(crossing: Crossing, stations: FloatArray, params: FixParams) -> Refusal | None:
    farthest_m = params.ahead_factor * params.earshot.half_m
    if not crossing.converged:
        return Refusal(NoPoint.NO_MEETING)
    if np.hypot(*(crossing.xy_m - stations).T).max() > farthest_m:
        return Refusal(NoPoint.TOO_FAR, farthest_m)
    if (crossing.weight * np.cos(np.radians(crossing.residual_deg))).sum() <= 0 or _behind(crossing, len(stations)):
        return Refusal(NoPoint.BEHIND)
    if condition(crossing.covariance_m2) > params.condition_max:
        return Refusal(NoPoint.ONE_DIRECTION_OPEN)
    return None


def _behind(crossing: Crossing, count: int) -> bool:
    return count == 2 and bool((np.abs(crossing.residual_deg) > 90).any())  # noqa: PLR2004 - two lines, a right angle


def _warnings(
    bearings: Sequence[Bearing],
    chance: Layer,
    median_m: tuple[float, float],
    point: Crossing | None,
    params: FixParams,
) -> tuple[FixWarning, ...]:
    warnings = []
    angle = crossing_angle_deg([b.grid_azimuth_deg for b in bearings])
    if point is not None and angle < params.crossing_good_deg:
        warnings.append(FixWarning(FixCaution.ACUTE, float(angle)))
    off = [turned(b.grid_azimuth_deg - azimuth_to(np.asarray(b.xy_m), np.asarray(median_m))) for b in bearings]
    astray = [astray_chance(b, chance, params.earshot) for b in bearings]
    warnings += [
        FixWarning(FixCaution.MISFIT, b.grid_azimuth_deg, b.stop, wrong)
        for b, e, wrong in zip(bearings, off, astray, strict=True)
        if abs(float(e)) > MISFIT * b.sd_deg or wrong > ASTRAY
    ]
    places = [b.xy_m for b in bearings]
    if len(set(places)) < len(places):
        warnings.append(FixWarning(FixCaution.SHARED_ERROR))
    return tuple(warnings)


def astray_chance(bearing: Bearing, chance: Layer, earshot: EarshotParams) -> float:
    """Chance that a bearing points astray, given where the bird may be.

    Parameters
    ----------
    bearing : one of the bird.
    chance : of every cell to hold the bird, sums to 1.
    earshot : share of strays where the bearing has none of its own.

    Returns
    -------
    float
        0 to 1.

    Notes
    -----
    By Bayes' rule the mean over places of s u / ((1 - s) f + s u): s the share of strays, u an even density, f the
    density of the error.
    """
    values = np.nan_to_num(chance.values)
    rows, cols = np.nonzero(values > values.max() * 1e-4)
    places, weight = chance.grid.xy(rows, cols), values[rows, cols]
    error = bearing.grid_azimuth_deg - azimuth_to(np.asarray(bearing.xy_m), places)
    stray = earshot.stray_share if bearing.stray_share is None else bearing.stray_share
    aimed = (1 - stray) * von_mises_density(error, kappa_of_sd(bearing.sd_deg))
    even = stray / (2 * np.pi)
    return float((weight * even / (aimed + even)).sum() / weight.sum())
