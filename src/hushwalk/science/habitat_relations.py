"""Published relations between ground and displaying grouse, each a function named after its study.

Their numbers live in data/tables/habitat_relations.toml, each with how much of the study was found.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.science.curves import Curve
from hushwalk.types import FloatArray

HECTARES_PER_ACRE = 0.404_685_642_24
"""The international acre, by definition [ha]."""


def cade_sousa_1985_stem_score(stems_per_ha: ArrayLike) -> FloatArray:
    """Score the density of small stems, by the breakpoints of a federal habitat model.

    Parameters
    ----------
    stems_per_ha : any shape [1/ha].

    Returns
    -------
    ndarray
        0 up to 4,900, rising to 1 at 14,800, falling to 0.8 at 40,000 stems/ha.

    References
    ----------
    cade_sousa_1985

    Examples
    --------
    >>> cade_sousa_1985_stem_score([4900.0, 9850.0, 14800.0]).tolist()
    [0.0, 0.5, 1.0]
    """
    return _curve("cade_sousa_1985_stem_score")(stems_per_ha)


def hansen_2011_visibility_odds(visible_pct: ArrayLike) -> FloatArray:
    """Give the relative chance that a site is used, by how much of it is open to view.

    Parameters
    ----------
    visible_pct : share of the area exposed from 0.9 to 1.8 m above ground, any shape [%].

    Returns
    -------
    ndarray
        1 where nothing is exposed.

    Notes
    -----
    ``exp(-k v)`` with k from the published ratio of 9 between 40 and 0 %: k = ln 9 / 40.

    References
    ----------
    hansen_2011

    Examples
    --------
    >>> hansen_2011_visibility_odds([0.0, 20.0]).round(3).tolist()
    [1.0, 0.333]
    """
    known = _numbers()["hansen_2011_visibility_odds"]
    rate = np.log(known["ratio"]) / (known["from_value"] - known["to_value"])
    return np.asarray(np.exp(-rate * np.asarray(visible_pct, dtype=float)))


def hansen_2011_stem_odds(stems_per_ha: ArrayLike) -> FloatArray:
    """Give the relative chance that a site is used, by its thin stems, relative to 24,000 stems/ha.

    Parameters
    ----------
    stems_per_ha : stems at least 1 m tall and under 2.54 cm thick, any shape, above 0 [1/ha].

    Notes
    -----
    ``exp(-k (1/s - 1/24000))``, k from the published ratio of 20 between 8,000 and 24,000 stems/ha.

    References
    ----------
    hansen_2011

    Examples
    --------
    >>> hansen_2011_stem_odds([8000.0, 24000.0]).round(3).tolist()
    [0.05, 1.0]
    """
    known = _numbers()["hansen_2011_stem_odds"]
    low, high = known["from_value"], known["to_value"]
    rate = np.log(known["ratio"]) / (1 / low - 1 / high)
    with np.errstate(divide="ignore"):
        return np.asarray(np.exp(-rate * (1 / np.asarray(stems_per_ha, dtype=float) - 1 / high)))


def mehls_2014_landscape_score(aspen_share: ArrayLike) -> FloatArray:
    """Score the share of aspen or young forest within 1,600 m; full from 20 %.

    Parameters
    ----------
    aspen_share : any shape, 0..1.

    References
    ----------
    mehls_2014

    Examples
    --------
    >>> mehls_2014_landscape_score([0.1, 0.4]).tolist()
    [0.5, 1.0]
    """
    return _curve("mehls_2014_landscape_score")(aspen_share)


def stand_age_score(age_years: ArrayLike) -> FloatArray:
    """Score the years since a hardwood stand was cut or burnt.

    Parameters
    ----------
    age_years : any shape [a].

    Notes
    -----
    An assumption tied to published plateaus; best from 6 to 10 years.

    References
    ----------
    kubisiak_1985, stone_lake

    Examples
    --------
    >>> stand_age_score([0.0, 8.0, 30.0]).tolist()
    [0.02, 1.0, 0.45]
    """
    return _curve("stand_age_score")(age_years)


def wiggers_1992_canopy_score(canopy_pct: ArrayLike) -> FloatArray:
    """Score the canopy closure of forest.

    Parameters
    ----------
    canopy_pct : any shape [%].

    References
    ----------
    wiggers_1992

    Examples
    --------
    >>> wiggers_1992_canopy_score([40.0, 80.0]).round(2).tolist()
    [0.67, 1.0]
    """
    return _curve("wiggers_1992_canopy_score")(canopy_pct)


def kubisiak_1985_density_per_km2() -> tuple[float, float]:
    """Give displaying males in aspen of 6 to 10 years, and in aspen of all ages [1/km2].

    References
    ----------
    kubisiak_1985

    Examples
    --------
    >>> [round(density, 1) for density in kubisiak_1985_density_per_km2()]
    [17.8, 10.1]
    """
    known = _numbers()["kubisiak_1985_density_per_km2"]
    return per_km2(known["young_per_100_acres"]), per_km2(known["all_ages_per_100_acres"])


def archibald_1975_core_radius_m() -> float:
    """Give the radius of the core range of one displaying male, taken as a disc [m].

    References
    ----------
    archibald_1975

    Examples
    --------
    >>> round(archibald_1975_core_radius_m(), 1)
    84.8
    """
    return float(np.sqrt(_numbers()["archibald_1975_core_radius_m"]["core_ha"] * 10_000 / np.pi))


def share_with_an_alternate_log(density_per_km2: ArrayLike) -> FloatArray:
    """Give the share of males that use a second log.

    Parameters
    ----------
    density_per_km2 : displaying males, any shape [1/km2].

    References
    ----------
    pa_alternates_1997

    Examples
    --------
    >>> share_with_an_alternate_log([0.5, 12.5]).round(2).tolist()
    [0.0, 0.44]
    """
    known = _numbers()["share_with_an_alternate_log"]
    share = known["slope"] * np.asarray(density_per_km2, dtype=float) + known["intercept"]
    return np.asarray(np.clip(share, 0.0, known["most"]))


def per_km2(per_100_acres: float) -> float:
    """Turn a number per 100 acres into a number per square kilometre, which is per 100 ha.

    Examples
    --------
    >>> round(per_km2(7.2), 2)
    17.79
    """
    return per_100_acres / HECTARES_PER_ACRE


@cache
def _numbers() -> dict[str, dict[str, Any]]:
    path = files("hushwalk") / "data" / "tables" / "habitat_relations.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def _curve(name: str) -> Curve:
    entry = _numbers()[name]
    return Curve(tuple(entry["values"]), tuple(entry["scores"]))
