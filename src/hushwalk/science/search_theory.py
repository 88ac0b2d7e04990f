"""Searching ground on foot: how wide one really sees, and the chance to find what is there.

In which order pieces of ground are searched is the business of the birds' room.
"""

import math
import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

Visibility = Literal["low", "medium", "high"]


@cache
def _factors() -> dict[str, float]:
    text = (files("hushwalk") / "data" / "tables" / "search_theory.toml").read_text(encoding="utf-8")
    return {key: float(value) for key, value in tomllib.loads(text)["sweep_width"].items() if key != "source"}


def sweep_width_m(seen_from_m: float, visibility: Visibility) -> float:
    """Effective sweep width of a searcher, ``W = k R_d``.

    Parameters
    ----------
    seen_from_m : R_d, the mean distance at which the thing is just seen, walked out in several directions [m].
    visibility : how the thing stands out from its surroundings; k is 1.1, 1.6 or 1.8.

    Returns
    -------
    float
        W [m]: as much is found as if all within W/2 were seen and nothing beyond.

    References
    ----------
    koester_2014

    Examples
    --------
    >>> round(sweep_width_m(10.0, "medium"), 1)
    16.0
    """
    return _factors()[visibility] * seen_from_m


def found_chance(sweep_m: float, path_m: ArrayLike, area_m2: ArrayLike) -> FloatArray:
    """Chance to find a thing that lies in the area, on a path laid without gaps or plan, ``1 - exp(-W L / A)``.

    Parameters
    ----------
    sweep_m : W, sweep width [m].
    path_m : L, path walked inside the area, any shape [m].
    area_m2 : A, a shape that broadcasts [m2].

    Returns
    -------
    ndarray
        Probability of detection, 0..1.

    References
    ----------
    koopman_1980
    """
    chance: FloatArray = -np.expm1(-sweep_m * np.asarray(path_m, dtype=float) / np.asarray(area_m2, dtype=float))
    return chance


def after_search(chance: ArrayLike, found: ArrayLike) -> FloatArray:
    """Chance that the thing lies in each cell after a search that did not find it, by Bayes' rule.

    Parameters
    ----------
    chance : of each cell before, shape (n,), summing to 1 or less; the rest is elsewhere.
    found : probability of detection in each cell, a shape that broadcasts.

    Returns
    -------
    ndarray
        Chances of the same sum as before, lowered where one searched: searched ground is never cleared.

    References
    ----------
    koopman_1980
    """
    before = np.asarray(chance, dtype=float)
    left = before * (1 - np.asarray(found, dtype=float))
    elsewhere = 1 - before.sum()
    after: FloatArray = left / max(left.sum() + elsewhere, np.finfo(float).tiny)
    return after


def crossing_area_m2(ranges_m: tuple[float, float], sd_deg: float, crossing_deg: float, chance: float) -> float:
    """Area of the ellipse that holds a place crossed by two bearings, ``-2 ln(1 - p) pi d1 d2 s^2 / sin(g)``.

    Parameters
    ----------
    ranges_m : d1 and d2, from the two places to the crossing [m].
    sd_deg : s, standard deviation of a bearing [deg].
    crossing_deg : g, the angle at which the bearings cross [deg].
    chance : p, with which the ellipse holds the place.

    Returns
    -------
    float
        Area [m2], of the linear approximation for small errors.

    References
    ----------
    lenth_1981
    """
    sd = math.radians(sd_deg)
    spread = math.pi * ranges_m[0] * ranges_m[1] * sd**2 / math.sin(math.radians(crossing_deg))
    return -2 * math.log1p(-chance) * spread
