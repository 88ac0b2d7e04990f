"""A fix: where one bird probably is, as ground to search, with a point only where the bearings allow one.

posterior.py weighs bearings and silence; association.py says which bearings belong together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from hushwalk.birds.credible_ground import CredibleGround, credible_ground, middle_m
from hushwalk.birds.posterior import EarshotParams, chance_of_place
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd
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
SHARES = (0.5, 0.8, 0.95)
"""Definition: chances for which ground is drawn."""


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
    refusal : why there is no point, or an empty text.
    notices : what to bear in mind, one sentence each.
    """

    bird: str
    bearings: tuple[Bearing, ...]
    chance: Layer = field(repr=False)
    grounds: tuple[CredibleGround, ...]
    median_m: tuple[float, float]
    point: Crossing | None
    refusal: str = ""
    notices: tuple[str, ...] = ()

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

    def summary(self) -> str:
        """Say it in one sentence."""
        sizes = ", ".join(f"{g.share:.0%} in {g.area_ha:.1f} ha" for g in self.grounds)
        words = (
            f"{self.bird or 'bird'}: {sizes}, from {len(self.bearings)} bearing{'s' if len(self.bearings) > 1 else ''}"
        )
        return f"{words}; no point, {self.refusal}" if self.refusal else words


def find_bird(
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    grid: Grid,
    *,
    habitat: Layer | None = None,
    audible: Mapping[str, Layer] | None = None,
    closed: Layer | None = None,
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
    chance = chance_of_place(
        bearings, listening, grid, habitat=habitat, audible=audible, closed=closed, params=params.earshot
    )
    grounds = tuple(credible_ground(chance, share) for share in SHARES)
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
        _notices(bearings, median, point, params),
    )


def point_of(bearings: Sequence[Bearing], params: FixParams | None = None) -> tuple[Crossing | None, str]:
    """Maximum-likelihood point, or the reason why there is none.

    Parameters
    ----------
    bearings : of one bird.
    params : when a point is refused.
    """
    params = params or FixParams()
    stations = stations_m(bearings)
    if len(np.unique(stations, axis=0)) < 2:  # noqa: PLR2004 - lines need two ends to cross
        return None, "all bearings are from one place: they give a direction cut off by earshot, not a point"
    azimuth = np.array([b.grid_azimuth_deg for b in bearings])
    angle = crossing_angle_deg(azimuth)
    if angle < params.crossing_min_deg:
        return (
            None,
            f"the lines cross at {angle:.0f} degrees, too nearly parallel to say how far; take one from the side",
        )
    kappa = np.array([kappa_of_sd(b.sd_deg) for b in bearings])
    found = lenth_crossing(stations, azimuth, kappa=kappa, huber_c=params.huber_c)
    refusal = _refusal(found, stations, params)
    return (None, refusal) if refusal else (found, "")


def _refusal(found: Crossing, stations: FloatArray, params: FixParams) -> str:
    reach = params.ahead_factor * params.earshot.half_m
    if not found.converged:
        return "the lines do not meet in a place"
    if np.hypot(*(found.xy_m - stations).T).max() > reach:
        return f"the lines meet farther than {reach:.0f} m away: they do not meet"
    if (found.weight * np.cos(np.radians(found.residual_deg))).sum() <= 0 or _behind(found, len(stations)):
        return "the lines meet behind a listener: a bearing is back to front or of another bird"
    if condition(found.covariance_m2) > params.condition_max:
        return "the bearings leave one direction open"
    return ""


def _behind(found: Crossing, count: int) -> bool:
    return count == 2 and bool((np.abs(found.residual_deg) > 90).any())  # noqa: PLR2004 - two lines, a right angle


def _notices(
    bearings: Sequence[Bearing], median_m: tuple[float, float], point: Crossing | None, params: FixParams
) -> tuple[str, ...]:
    told = []
    angle = crossing_angle_deg([b.grid_azimuth_deg for b in bearings])
    if point is not None and angle < params.crossing_good_deg:
        told.append(f"the lines cross at {angle:.0f} degrees; a bearing from the side would shrink the ground")
    off = [turned(b.grid_azimuth_deg - azimuth_to(np.asarray(b.xy_m), np.asarray(median_m))) for b in bearings]
    stray = [b for b, e in zip(bearings, off, strict=True) if abs(float(e)) > MISFIT * b.sd_deg]
    told += [f"the bearing {b.grid_azimuth_deg:.0f} from {b.stop or 'a stop'} does not fit the others" for b in stray]
    places = [b.xy_m for b in bearings]
    if len(set(places)) < len(places):
        told.append("bearings from one and the same place share their error; they help less than they seem to")
    return tuple(told)
