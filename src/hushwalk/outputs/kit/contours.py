"""Contour lines of a height layer, their interval, and where their labels may stand.

The heights themselves and the hillshade come from grid/terrain.
"""

from dataclasses import dataclass, field

import numpy as np
from contourpy import contour_generator
from scipy.ndimage import gaussian_filter

from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import distances_along, points_along
from hushwalk.types import FloatArray
from hushwalk.wording.measures import unit

INTERVALS = {"m": (2.0, 5.0, 10.0, 20.0, 50.0, 100.0), "ft": (10.0, 20.0, 40.0, 80.0, 200.0, 400.0)}
LINES_WANTED = 22  # judgement: more lines than this on one sheet turn into a grey tone
INDEX_EVERY = 5  # the custom of topographic maps: each fifth line is heavier and carries the height


@dataclass(frozen=True, eq=False)
class Contour:
    """One contour line. ``line_m`` has shape (k, 2) on the grid of the heights."""

    height_m: float
    index: bool
    line_m: FloatArray = field(repr=False)


@dataclass(frozen=True)
class Label:
    """A place for a height on a line: middle [m], and the angle of the text, anticlockwise from east [deg]."""

    xy_m: tuple[float, float]
    angle_deg: float


def contour_interval(elevation: Layer) -> float:
    """Choose the interval [m], round in the reader's unit, so that at most two dozen lines cross the ground."""
    word, unit_m = unit("height")
    steps_m = [step * unit_m for step in INTERVALS[word]]
    known = elevation.values[elevation.known]
    relief_m = float(np.ptp(known)) if known.size else 0.0
    return next((step for step in steps_m if relief_m / step <= LINES_WANTED), steps_m[-1])


def contours(elevation: Layer, interval_m: float) -> tuple[Contour, ...]:
    """Draw the contour lines of a layer.

    Parameters
    ----------
    elevation : heights [m]; lines end where heights are unknown.
    interval_m : between two lines [m].

    Notes
    -----
    Heights are smoothed with a standard deviation of one cell first: a line that trembles from cell to cell tells
    nothing to a walker (judgement).
    """
    known = elevation.known
    if not known.any():
        return ()
    heights = np.where(known, elevation.values, 0.0)
    weight = gaussian_filter(known.astype(float), 1.0)
    smooth = np.where(known, gaussian_filter(heights, 1.0) / np.maximum(weight, 1e-9), np.nan)
    grid = elevation.grid
    xs = grid.xy(np.zeros(grid.n_cols, dtype=int), np.arange(grid.n_cols))[:, 0]
    ys = grid.xy(np.arange(grid.n_rows), np.zeros(grid.n_rows, dtype=int))[:, 1]
    found = contour_generator(xs, ys, np.ma.masked_invalid(smooth))
    low, high = float(np.nanmin(smooth)), float(np.nanmax(smooth))
    steps = range(int(np.floor(low / interval_m)) + 1, int(np.ceil(high / interval_m)))
    return tuple(
        Contour(step * interval_m, step % INDEX_EVERY == 0, np.asarray(line))
        for step in steps
        for line in found.lines(step * interval_m)
        if len(line) > 3  # noqa: PLR2004 - judgement: a ring round one cell is noise
    )


def label_place(line_m: FloatArray, width_m: float) -> Label | None:
    """Find the straightest run of a line that is long enough for a label.

    Parameters
    ----------
    line_m : shape (k, 2) [m].
    width_m : length that the text needs [m].

    Returns
    -------
    Label or None
        None where the line is too short or bends too much everywhere. The text always stands upright.
    """
    length_m = distances_along(line_m)[-1]
    if length_m < 2 * width_m:
        return None
    starts = np.linspace(0, length_m - width_m, 40)
    ends = np.stack([points_along(line_m, starts), points_along(line_m, starts + width_m)])
    chord = np.hypot(*(ends[1] - ends[0]).T)
    best = int(np.argmax(chord))
    if chord[best] < 0.93 * width_m:  # judgement: beyond this bend the text leaves its line
        return None
    middle = points_along(line_m, np.array([starts[best] + width_m / 2]))[0]
    across = ends[1, best] - ends[0, best]
    angle = float(np.degrees(np.arctan2(across[1], across[0])))
    upright = (angle + 90) % 180 - 90
    return Label((float(middle[0]), float(middle[1])), upright)
