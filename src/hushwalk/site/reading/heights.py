"""Makes the heights of a trip whole: lakes without heights laid flat, small holes closed, large ones left and told.

Reading the raster is raster_layers.py's business.
"""

import numpy as np
from rasterio.fill import fillnodata
from scipy import ndimage

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.types import BoolArray, FloatArray

RIM_SHARE = 10.0  # judgement: the water lies at the low end of its shore, and the lowest cells may be errors [%]
HOLE_KM2 = 0.2  # judgement: larger holes may hide a hill; no route should rest on a guess
MOST_MISSING = 0.5  # judgement: with less than half of the ground known there is nothing to plan on
EIGHT = np.ones((3, 3), dtype=bool)


def whole_heights(elevation: Layer, open_water: BoolArray | None, label: str) -> tuple[Layer, tuple[str, ...]]:
    """Fill what can be filled in a layer of heights.

    Parameters
    ----------
    elevation : heights [m], NaN where unknown.
    open_water : where the land cover says open water, or None.
    label : how to name the layer in a message.

    Returns
    -------
    tuple
        The layer with fewer holes, and what was filled and what is still missing, in words.

    Raises
    ------
    InputError
        If most of the ground has no height.

    Notes
    -----
    A lake is level at the 10th percentile of the heights round it. A hole wholly inside known ground and not larger
    than 0.2 km2 is filled from its rim with inverse distances as weights.
    """
    values = np.array(elevation.values)
    lines = []
    if open_water is not None:
        levelled = _flatten_lakes(values, open_water)
        lines += _words(
            levelled, values.size, "of the ground, open water without heights, was laid level with its shore"
        )
    closed = _close_holes(values, elevation.grid.cell_area_km2)
    lines += _words(closed, values.size, "of the ground, small holes in the heights, was filled from the rims")
    missing = int(np.count_nonzero(np.isnan(values)))
    if missing > MOST_MISSING * values.size:
        raise InputError(
            f"{label}: {missing / values.size:.0%} of the ground has no height; get a layer that covers it, "
            "or make ground.reach_m smaller"
        )
    lines += _words(missing, values.size, "of the ground has no height, and no walk is planned there")
    filled = elevation.with_values(values)
    steps = tuple(f"{label}: {words}" for words in lines)
    return Layer(filled.name, filled.unit, filled.grid, values, (*elevation.story, *lines)), steps


def suspect_zeros(values: FloatArray) -> BoolArray:
    """Tell heights of exactly 0 that stand among high ground only: unknown cells whose maker did not say so.

    Parameters
    ----------
    values : heights [m], NaN where unknown.

    Examples
    --------
    >>> suspect_zeros(np.array([0.0, 320.0, 350.0])).tolist()
    [True, False, False]
    """
    zero = values == 0
    others = values[~zero & np.isfinite(values)]
    high = others.size > 0 and float(others.min()) > 20  # noqa: PLR2004  judgement: no shore rises 20 m in one cell all round
    return zero if high else np.zeros(values.shape, dtype=bool)


def _flatten_lakes(values: FloatArray, open_water: BoolArray) -> int:
    lakes, n = ndimage.label(np.isnan(values) & open_water, structure=EIGHT)
    levelled = 0
    for number, place in enumerate(ndimage.find_objects(lakes, max_label=n), start=1):
        wide = tuple(slice(max(0, s.start - 2), s.stop + 2) for s in place)
        lake = lakes[wide] == number
        rim = ndimage.binary_dilation(lake, structure=EIGHT, iterations=2) & ~lake
        shore = values[wide][rim]
        shore = shore[np.isfinite(shore)]
        if shore.size:
            values[wide][lake] = np.percentile(shore, RIM_SHARE)
            levelled += int(np.count_nonzero(lake))
    return levelled


def _close_holes(values: FloatArray, cell_km2: float) -> int:
    missing = np.isnan(values)
    holes, n = ndimage.label(missing, structure=EIGHT)
    sizes = np.bincount(holes.ravel(), minlength=n + 1)
    small = sizes * cell_km2 <= HOLE_KM2
    edge = np.unique(np.concatenate([holes[0], holes[-1], holes[:, 0], holes[:, -1]]))
    small[0], small[edge] = False, False
    close = small[holes]
    if close.any():
        reach = int(np.sqrt(HOLE_KM2 / cell_km2)) + 2
        guess = fillnodata(values.astype(np.float32), mask=~missing, max_search_distance=reach, smoothing_iterations=0)
        values[close] = guess[close]
    return int(np.count_nonzero(close & np.isfinite(values)))


def _words(cells: int, of: int, words: str) -> list[str]:
    return [f"{cells / of:.2%} {words}"] if cells else []
