"""Heights known at points, such as spot heights of a survey, gridded.

Heights of a raster are raster_layers.py's business.
"""

from dataclasses import dataclass, field, replace
from pathlib import PurePath
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import QhullError

from hushwalk.errors import InputError
from hushwalk.files.paths import RASTER_ENDINGS, VECTOR_ENDINGS
from hushwalk.grid.grid import Grid
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layer_values import HEIGHT_UNITS, sense_of
from hushwalk.site.reading.raster_faults import coarse_heights_words
from hushwalk.site.reading.raster_layers import Cells
from hushwalk.site.reading.vector_layers import bring_shapes
from hushwalk.site.settings import LayerSettings
from hushwalk.types import FloatArray

FIELDS = ("elevation", "elev", "height", "z", "ele", "elevation_m", "elev_m", "elevation_f", "elev_ft")
"""Judgement: names by which surveys call the height of a point, in lower case."""

RIM_M = 1000.0  # judgement: points this far beyond the ground still hold its edge
FEWEST = 10  # judgement: fewer points make no surface


@dataclass(frozen=True, eq=False)
class PointHeights:
    """Heights of points, linear between them.

    Parameters
    ----------
    surface : from (easting, northing) [m] to heights [m].
    story : where it comes from.
    notices : what a person should know.
    refines : empty; heights stand for themselves.
    """

    surface: Any = field(repr=False)
    story: str
    notices: tuple[str, ...]
    refines: tuple[int, ...] = ()

    def read(self, where: Georeference, window: Cells, notices: list[str] | None = None) -> NDArray[Any]:
        """Heights of a window [m], NaN outside the points.

        Parameters
        ----------
        where : the grid and its reference system.
        window : rows and columns to be read.
        notices : takes what should be known.

        Returns
        -------
        ndarray
            Of the shape of the window.
        """
        if notices is not None:
            notices += self.notices
        grid = where.grid.window(*window)
        rows, cols = np.indices(grid.shape)
        return np.asarray(self.surface(grid.xy(rows.ravel(), cols.ravel()))).reshape(grid.shape).astype(np.float32)


def is_points(spec: LayerSettings) -> bool:
    """Tell whether a layer of heights is one of points."""
    ending = PurePath(spec.path.replace("!", "/")).suffix.lower()
    return spec.field is not None or (ending in VECTOR_ENDINGS and ending not in RASTER_ENDINGS)


def open_point_heights(spec: LayerSettings, label: str, where: Georeference) -> PointHeights:
    """Read a layer of heights at points.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.

    Returns
    -------
    PointHeights

    Raises
    ------
    MissingFileError, InputError
        If the file cannot be used, no field holds heights, or the points make no surface.

    Notes
    -----
    Linear on the Delaunay triangles of the points. The triangles are those of the whole ground, so that every window
    of it sees the same heights.
    """
    wide = replace(where, grid=_wider(where.grid))
    got = bring_shapes(spec, label, wide, "point", (spec.field,) if spec.field else ())
    rows = np.array([row for _, row in got.shapes], dtype=int)
    name = spec.field or next((n for n in got.columns if n.lower() in FIELDS), None)
    if name is None:
        raise InputError(
            f"{label}: {spec.path} holds points, and no field of it is called like a height; name the field with "
            f'field = "..." ({", ".join(got.columns) or "it has none"})'
        )
    heights, unit = _metres(got.columns[name][rows], spec, label, name)
    known = np.isfinite(heights)
    at = shapely.get_coordinates([shape for shape, _ in got.shapes])[known]
    if len(at) < FEWEST:
        raise InputError(f"{label}: {len(at)} heights on the ground of the trip make no surface; {FEWEST} are needed")
    try:
        surface = LinearNDInterpolator(at, heights[known])
    except QhullError:
        raise InputError(f"{label}: the points of {spec.path} stand in one line, and make no surface") from None
    apart_m = float(np.sqrt(shapely.MultiPoint(at).convex_hull.area / len(at)))
    head = f"{label} ({PurePath(spec.path).name})"
    low, high = heights[known].min(), heights[known].max()
    odd = int(np.count_nonzero(~known))
    gridded = (
        f"heights of {len(at)} points, about {apart_m:.0f} m apart, were gridded: linear between them, "
        f"{low:.0f} to {high:.0f} m"
    )
    lines = [gridded]
    lines += [f"{odd} points without a height that can be meant were left out"] if odd else []
    lines += [] if spec.unit else ['taken as metres; give unit = "ft" if they are feet']
    lines += coarse_heights_words(apart_m)
    notices = (*got.notices, *(f"{head}: {words}" for words in lines))
    return PointHeights(surface, f"{got.story}; heights by {name} [{unit}]", notices)


def _wider(grid: Grid) -> Grid:
    more = int(np.ceil(RIM_M / grid.cell_m))
    return replace(
        grid,
        west_m=grid.west_m - more * grid.cell_m,
        north_m=grid.north_m + more * grid.cell_m,
        n_rows=grid.n_rows + 2 * more,
        n_cols=grid.n_cols + 2 * more,
    )


def _metres(values: NDArray[Any], spec: LayerSettings, label: str, name: str) -> tuple[FloatArray, str]:
    """Heights [m], NaN where they cannot be meant, and the unit they were given in."""
    sense, _ = sense_of("elevation", label, spec)
    numbers = np.array([_number(value) for value in values.tolist()])
    if not np.isfinite(numbers).any():
        raise InputError(f"{label}: field {name!r} of {spec.path} holds no numbers; name the field of the heights")
    meant = (numbers >= sense.low) & (numbers <= sense.high)
    unit = (spec.unit or "m").strip().lower()
    factor = spec.scale * HEIGHT_UNITS[unit]
    return np.where(meant, numbers * factor, np.nan), unit


def _number(value: object) -> float:
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return float("nan")
