"""Connected good ground: its size, core, shape and edge, and the males that it should hold.

How many males a cell holds is density.py's business.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import distance_to
from hushwalk.habitat.density import Density
from hushwalk.types import FloatArray, IntArray

EIGHT = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True)
class PatchParams:
    """What counts as a patch.

    Parameters
    ----------
    good_from : least suitability of good ground, 0..1.
    least_ha : smaller patches are left out [ha].
    edge_m : ground nearer than this to the rim is no core [m].
    spacing_m : least distance between the centres of two territories [m].
    """

    good_from: float
    least_ha: float
    edge_m: float
    spacing_m: float

    def __post_init__(self) -> None:
        if not (0 < self.good_from <= 1 and self.least_ha >= 0 and self.edge_m >= 0 and self.spacing_m > 0):
            raise SettingsError(f"a patch needs good_from in 0..1, least_ha and edge_m >= 0, spacing_m > 0, got {self}")


@dataclass(frozen=True, eq=False)
class Patch:
    """One piece of connected good ground.

    Parameters
    ----------
    number : 1 for the one with the most males.
    area_ha, core_ha : all of it, and what lies away from the rim [ha].
    rim_m : length of its outline, along cell sides [m].
    shape : outline over that of a square of the same area; 1 is as compact as cells allow.
    suitability : mean, 0..1.
    males_low, males, males_high : expected.
    territories : how many fit at the published spacing.
    centres_m : shape (territories, 2), where they were fitted, the best ground first [m].
    centre_m : of gravity [m].
    """

    number: int
    area_ha: float
    core_ha: float
    rim_m: float
    shape: float
    suitability: float
    males_low: float
    males: float
    males_high: float
    territories: int
    centres_m: FloatArray = field(repr=False)
    centre_m: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Patches:
    """Every patch, and a layer with the number of the patch of each cell (NaN outside)."""

    patches: tuple[Patch, ...]
    numbers: Layer


def patches(suitability: Layer, males: Density, params: PatchParams) -> Patches:
    """Find the connected good ground.

    Parameters
    ----------
    suitability : 0..1.
    males : from :func:`hushwalk.habitat.density.density`, on the same grid.
    params : what counts as a patch.

    Returns
    -------
    Patches
        With the most males first.

    Raises
    ------
    GridMismatchError
        If the layers lie on different grids.

    Notes
    -----
    Cells that touch at a side or a corner are connected. Territories are fitted one after the other on the best
    ground that is left, none nearer than the spacing to another.
    """
    suitability.checked_against(males.middle)
    grid = suitability.grid
    good = np.nan_to_num(suitability.values) >= params.good_from
    labels, _ = ndimage.label(good, structure=EIGHT)
    sizes = np.bincount(labels.ravel())
    least = params.least_ha * 1e4 / grid.cell_m**2
    kept = [n for n in range(1, len(sizes)) if sizes[n] >= least]
    depth = distance_to(~good, grid)
    boxes = ndimage.find_objects(labels)
    found = [_measure(n, boxes[n - 1], labels, depth, suitability, males, params) for n in kept]
    order = sorted(range(len(found)), key=lambda i: (-found[i][1].males, kept[i]))
    numbers = np.full(len(sizes), np.nan)
    ranked = []
    for rank, i in enumerate(order, start=1):
        numbers[kept[i]] = rank
        ranked.append(_renumbered(found[i][1], rank))
    return Patches(tuple(ranked), suitability.with_values(numbers[labels], name="patch", unit="class"))


def fit_territories(worth: FloatArray, grid: Grid, spacing_m: float) -> FloatArray:
    """Fit territories on the best ground first.

    Parameters
    ----------
    worth : shape grid.shape; cells that are NaN or 0 hold none.
    grid : where it lies.
    spacing_m : least distance between two centres [m].

    Returns
    -------
    ndarray, shape (n, 2)
        Centres, in the order of their worth [m].
    """
    left = np.where(np.isfinite(worth) & (worth > 0), worth, -1.0)
    order = np.argsort(-left, axis=None, kind="stable")
    reach = int(np.ceil(spacing_m / grid.cell_m))
    step = np.arange(-reach, reach + 1)
    near = np.hypot(step[:, None], step[None, :]) * grid.cell_m < spacing_m
    free = np.pad(left > 0, reach)
    chosen = []
    for flat in order:
        row, col = divmod(int(flat), grid.n_cols)
        if left[row, col] <= 0:
            break
        if free[row + reach, col + reach]:
            chosen.append((row, col))
            free[row : row + 2 * reach + 1, col : col + 2 * reach + 1][near] = False
    cells = np.array(chosen, dtype=np.int64).reshape(-1, 2)
    return grid.xy(cells[:, 0], cells[:, 1])


def _measure(
    label: int,
    box: tuple[slice, slice],
    labels: IntArray,
    depth: FloatArray,
    suitability: Layer,
    males: Density,
    params: PatchParams,
) -> tuple[int, Patch]:
    grid = suitability.grid
    inside = labels[box] == label
    rows, cols = np.nonzero(inside)
    cell_ha = grid.cell_m**2 / 1e4
    area_ha = len(rows) * cell_ha
    rim_m = _sides(inside) * grid.cell_m
    window = _window(grid, box)
    centres = fit_territories(np.where(inside, suitability.values[box], np.nan), window, params.spacing_m)
    low, middle, high = (
        float(np.nansum(layer.values[box][inside])) * grid.cell_area_km2
        for layer in (males.low, males.middle, males.high)
    )
    centre = window.xy(rows, cols).mean(axis=0)
    return label, Patch(
        number=label,
        area_ha=area_ha,
        core_ha=float(np.count_nonzero(depth[box][inside] > params.edge_m)) * cell_ha,
        rim_m=rim_m,
        shape=rim_m / (4 * np.sqrt(area_ha * 1e4)),
        suitability=float(suitability.values[box][inside].mean()),
        males_low=low,
        males=middle,
        males_high=high,
        territories=len(centres),
        centres_m=centres,
        centre_m=(float(centre[0]), float(centre[1])),
    )


def _sides(inside: NDArray[np.bool_]) -> int:
    """Count the cell sides between the patch and what is not the patch."""
    padded = np.pad(inside, 1)
    return int(np.count_nonzero(np.diff(padded, axis=0)) + np.count_nonzero(np.diff(padded, axis=1)))


def _window(grid: Grid, box: tuple[slice, slice]) -> Grid:
    rows, cols = box
    return Grid(
        grid.epsg,
        grid.west_m + cols.start * grid.cell_m,
        grid.north_m - rows.start * grid.cell_m,
        grid.cell_m,
        rows.stop - rows.start,
        cols.stop - cols.start,
    )


def _renumbered(patch: Patch, number: int) -> Patch:
    return replace(patch, number=number)
