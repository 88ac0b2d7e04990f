"""Ingredients of habitat measured from layers: quality of cover, water edge, shares and mixture of the surroundings.

What a measure is worth to an animal is its need's curve, in needs.py.
"""

from collections.abc import Mapping

import numpy as np
from numba import njit
from scipy import ndimage

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import distance_to
from hushwalk.habitat.surroundings import evenness, wide_mean
from hushwalk.types import BoolArray, FloatArray

__all__ = [
    "cover_quality",
    "mixture",
    "share_of_kinds",
    "slope_position",
    "water_edge",
    "where_kinds",
    "wide_mean",
]


def cover_quality(cover: Layer, usual: Mapping[int, float], best: Mapping[int, float], *grown: Layer) -> Layer:
    """Quality of the cover by its kind.

    Parameters
    ----------
    cover : codes of cover kinds.
    usual : code -> quality 0..1 at the usual mix of ages.
    best : code -> quality 0..1 at the best age, for kinds whose age matters.
    grown : layers that tell how far a stand has grown, such as its age; where one of them is known, ``best`` is taken,
        because growth has its own need.

    Returns
    -------
    Layer
        0..1; NaN on kinds without a quality.

    Raises
    ------
    GridMismatchError
        If the layers lie on different grids.
    """
    quality = _by_code(cover, usual)
    for layer in grown:
        grown_known = cover.checked_against(layer).known & np.isfinite(_by_code(cover, best))
        quality = np.where(grown_known, _by_code(cover, best), quality)
    return cover.with_values(quality, name="quality of the cover", unit="1", step="quality by cover kind")


def where_kinds(layer: Layer, cover: Layer, codes: frozenset[int]) -> Layer:
    """Keep a measure only where it means something, such as canopy and age in forest.

    Parameters
    ----------
    layer : any measure.
    cover : codes of cover kinds.
    codes : kinds to keep.

    Returns
    -------
    Layer
        The measure; NaN on other kinds.

    Raises
    ------
    GridMismatchError
        If the layers lie on different grids.
    """
    keep = np.isin(cover.values, list(codes)) & cover.checked_against(layer).known
    return layer.with_values(np.where(keep, layer.values, np.nan), step=f"kept on {len(codes)} kinds of cover")


def share_of_kinds(
    cover: Layer, shares: Mapping[int, float], radius_m: float, name: str, whole: BoolArray | None = None
) -> Layer:
    """Share that some kinds take of the land around each cell.

    Parameters
    ----------
    cover : codes of cover kinds.
    shares : code -> share 0..1 of a cell of that kind that counts; NaN for kinds that are no land, such as water.
    radius_m : of the disc [m].
    name : what is shared.
    whole : shape grid.shape, cells that count in full whatever their kind, such as those known to be young.

    Returns
    -------
    Layer
        0..1; NaN where no land is known within the disc.

    References
    ----------
    mehls_2014
    """
    share = _by_code(cover, shares)
    if whole is not None:
        share = np.where(whole & np.isfinite(share), 1.0, share)
    values = wide_mean(Layer(name, "1", cover.grid, share), radius_m)
    return cover.with_values(
        np.clip(values, 0, 1), name=name, unit="1", step=f"share of the land within {radius_m:.0f} m"
    )


def mixture(cover: Layer, groups: Mapping[int, str], radius_m: float) -> Layer:
    """How evenly the groups of cover are mixed around each cell.

    Parameters
    ----------
    cover : codes of cover kinds.
    groups : code -> group; an empty text or a code without a group is left out.
    radius_m : of the disc [m].

    Returns
    -------
    Layer
        0 for one group alone, 1 for all groups in equal parts; NaN where no land is known.

    Raises
    ------
    InputError
        If something does not fit, naming what.

    Notes
    -----
    Shannon's evenness ``-sum(p ln p) / ln K`` over the K groups that exist, so that few groups count as less mixed.

    References
    ----------
    kouffeld_2013, zimmerman_2009
    """
    names = sorted({group for group in groups.values() if group})
    if len(names) < 2:  # noqa: PLR2004  one group cannot be mixed
        raise InputError(f"a mixture needs two groups of cover or more, got {names}")
    numbers = {code: names.index(group) for code, group in groups.items() if group}
    found = evenness(_by_code(cover, numbers), len(names), radius_m, cover.grid)
    return cover.with_values(found, name="mixture of cover", unit="1", step=f"evenness within {radius_m:.0f} m")


def water_edge(like: Layer, *marks: BoolArray) -> Layer:
    """Distance to the nearest stream, pond or wetland.

    Parameters
    ----------
    like : any layer of the grid.
    marks : one mask or more, shape grid.shape, True on the water or wet ground.

    Returns
    -------
    Layer
        [m], 0 on marked cells; infinite distances are cut to the diagonal of the ground.
    """
    wet = np.zeros(like.grid.shape, dtype=bool)
    for mark in marks:
        wet |= mark
    longest = float(np.hypot(*like.grid.shape)) * like.grid.cell_m
    reach = np.minimum(distance_to(wet, like.grid), longest)
    return Layer("distance to water", "m", like.grid, reach, ("straight distance to stream, pond or wetland",))


def slope_position(elevation: Layer, radius_m: float) -> Layer:
    """How high a cell lies between the lowest and the highest ground around it.

    Parameters
    ----------
    elevation : [m].
    radius_m : half the side of the square that is looked at [m].

    Returns
    -------
    Layer
        0 at the bottom, 1 at the top; NaN on flat and unknown ground.

    References
    ----------
    seafwa_2001
    """
    reach = 2 * max(1, round(radius_m / elevation.grid.cell_m)) + 1
    low = _filtered(elevation, reach, lowest=True)
    high = _filtered(elevation, reach, lowest=False)
    relief = high - low
    with np.errstate(invalid="ignore", divide="ignore"):
        position = np.where(relief > 0, (elevation.values - low) / relief, np.nan)
    return elevation.with_values(
        position, name="position on the slope", unit="1", step=f"against the ground within {radius_m:.0f} m"
    )


def _by_code(cover: Layer, values: Mapping[int, float]) -> FloatArray:
    """Look the values up by code; NaN for a code without one and for unknown ground."""
    table = np.full(max((*values, 0)) + 2, np.nan)
    for code, value in values.items():
        table[code] = value
    return np.asarray(_looked_up(cover.values.ravel(), table)).reshape(cover.grid.shape)


@njit(cache=True, nogil=True)
def _looked_up(codes: FloatArray, table: FloatArray) -> FloatArray:  # pragma: no cover  compiled
    found = np.full(codes.size, np.nan)
    for k in range(codes.size):
        if 0 <= codes[k] < len(table):
            found[k] = table[int(codes[k])]
    return found


def _filtered(elevation: Layer, reach: int, *, lowest: bool) -> FloatArray:
    fill = np.inf if lowest else -np.inf
    field = np.where(elevation.known, elevation.values, fill)
    kernel = ndimage.minimum_filter if lowest else ndimage.maximum_filter
    found: FloatArray = kernel(field, size=reach, mode="nearest")
    return np.where(np.isfinite(found), found, np.nan)
