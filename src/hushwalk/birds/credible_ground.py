"""Ground that holds a bird with a given chance: the smallest such ground, its outline, its middle.

posterior.py gives the chances; search_order.py orders the grounds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from contourpy import contour_generator
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray, IntArray

MIDDLE_STEPS = 60  # judgement: the middle moves by less than a centimetre long before
RING_POINTS_MIN = 4  # definition: a closed ring of fewer points has no inside


@dataclass(frozen=True, eq=False)
class CredibleGround:
    """The smallest ground that holds a bird with chance ``share``.

    Parameters
    ----------
    share : chance, 0..1.
    area_m2 : its area [m2].
    inside : shape of the grid.
    rings : outlines, each of shape (k, 2), closed [m]; inner edges of holes are among them.
    """

    share: float
    area_m2: float
    grid: Grid
    inside: NDArray[np.bool_] = field(repr=False)
    rings: tuple[FloatArray, ...] = field(repr=False)

    @property
    def area_ha(self) -> float:
        """Area [ha]."""
        return self.area_m2 / 1e4

    def holds(self, xy_m: FloatArray) -> NDArray[np.bool_]:
        """Which places lie in it; shape (n, 2) [m] in, shape (n,) out."""
        points = np.atleast_2d(xy_m)
        within = self.grid.contains(points)
        rows, cols = self.grid.rowcol(points)
        found = np.zeros(len(points), dtype=bool)
        found[within] = self.inside[rows[within], cols[within]]
        return found


def credible_ground(chance: Layer, share: float) -> CredibleGround:
    """Smallest ground that holds a bird with at least this chance: one of :func:`credible_grounds`.

    Parameters
    ----------
    chance : chance of each cell, sums to 1.
    share : above 0 and below 1.

    Raises
    ------
    InputError
        If the share is no chance.

    Notes
    -----
    Cells are taken from the likeliest down until their sum reaches the share (highest posterior density).

    Examples
    --------
    >>> even = Layer("chance", "1", Grid(32615, 0, 0, 10.0, 10, 10), np.full((10, 10), 0.01))
    >>> round(credible_ground(even, 0.5).area_m2)
    5000
    """
    (ground,) = credible_grounds(chance, [share])
    return ground


def credible_grounds(chance: Layer, shares: Sequence[float]) -> tuple[CredibleGround, ...]:
    """Smallest grounds that hold a bird with at least each of these chances; the cells are put in order once.

    Parameters
    ----------
    chance : chance of each cell, sums to 1.
    shares : each above 0 and below 1.

    Raises
    ------
    InputError
        If a share is no chance.
    """
    for share in shares:
        if not 0 < share < 1:
            raise InputError(f"a share of {share:g} is no chance between 0 and 1")
    values = np.nan_to_num(chance.values.ravel())
    some = np.flatnonzero(values > 0)
    order = some[np.argsort(-values[some], kind="stable")]
    summed = np.cumsum(values[order])
    return tuple(_ground(chance.grid, values, order, summed, share) for share in shares)


def _ground(grid: Grid, values: FloatArray, order: IntArray, summed: FloatArray, share: float) -> CredibleGround:
    count = int(np.searchsorted(summed, share * (1 - 1e-12))) + 1
    inside = np.zeros(values.size, dtype=bool)
    inside[order[:count]] = True
    lowest = float(values[order[min(count, order.size) - 1]])
    rings = outline(grid, values.reshape(grid.shape), lowest * (1 - 1e-9))
    return CredibleGround(share, count * grid.cell_m**2, grid, inside.reshape(grid.shape), rings)


def outline(grid: Grid, values: FloatArray, level: float) -> tuple[FloatArray, ...]:
    """Draw closed rings round where values lie above a level, each of shape (k, 2) [m].

    Parameters
    ----------
    grid : of the values.
    values : one a cell, shape of the grid; ground outside counts as 0.
    level : of the ring, in the unit of the values.

    Returns
    -------
    tuple of ndarray
        Closed rings, easting and northing, each of shape (k, 2) [m]; inner edges of holes are among them.
    """
    framed = np.pad(values, 1, constant_values=0.0)
    rows, cols = grid.shape
    x = grid.west_m + (np.arange(-1, cols + 1) + 0.5) * grid.cell_m
    y = grid.north_m - (np.arange(-1, rows + 1) + 0.5) * grid.cell_m
    lines = contour_generator(x=x, y=y, z=framed).lines(level)
    return tuple(np.asarray(line, dtype=np.float64) for line in lines if len(line) >= RING_POINTS_MIN)


def middle_m(chance: Layer) -> tuple[float, float]:
    """Median place: the one with the least mean distance to where the bird may be [m].

    Notes
    -----
    Weiszfeld's iteration on cell centres. Unlike the mean it is not carried off by a thin far tail.
    """
    values = np.nan_to_num(chance.values)
    rows, cols = np.nonzero(values > values.max() * 1e-6)
    xy, weight = chance.grid.xy(rows, cols), values[rows, cols]
    place = (xy * weight[:, None]).sum(axis=0) / weight.sum()
    for _ in range(MIDDLE_STEPS):
        pull = weight / np.maximum(np.hypot(*(xy - place).T), chance.grid.cell_m / 10)
        moved = (xy * pull[:, None]).sum(axis=0) / pull.sum()
        if np.hypot(*(moved - place)) < chance.grid.cell_m / 1000:
            break
        place = moved
    return float(place[0]), float(place[1])
