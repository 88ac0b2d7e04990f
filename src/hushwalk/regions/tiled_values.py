"""From the numbers of a raster file to kinds of cover, metres, years and shares, for one window of wide ground.

Which layers there are is tiled_layers.py's business.
"""

from collections.abc import Callable
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rasterio.windows import Window

from hushwalk.errors import InputError
from hushwalk.files.rasters import RasterFile, read_classes, read_measure
from hushwalk.grid.align import NO_CLASS, Patch
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import carried, system
from hushwalk.grid.window_invariant import positions, steady_classes, steady_measures, steady_stands
from hushwalk.site.cover import Crosswalk, crosswalk, crosswalk_from_classes
from hushwalk.site.georeferencing import Whereabouts
from hushwalk.site.measures import HEIGHT_UNITS, SHARE_UNITS, age_in_years
from hushwalk.site.raster_layers import SENTINELS, Sense, hide_foreign, judge_foreign
from hushwalk.site.settings import LayerSettings

Cells = tuple[int, int, int, int]
Turn = Callable[[NDArray[Any]], NDArray[Any]]

FOREIGN = 255
"""Definition: marks a class code that the legend does not know; cover kinds have lower codes."""

NEAR = 1e-6  # definition: two lattices are the same where they differ by less than this share of a cell
TOLD = 8


def shared_corner(file: RasterFile, grid: Grid) -> tuple[int, int] | None:
    """Row and column of a raster where the grid begins, if the two share a lattice and the raster covers it all."""
    same = system(file.crs).to_json_dict().get("id") == system(grid.crs).to_json_dict().get("id")
    step = file.transform.a, file.transform.e
    if not same or file.turned or max(abs(step[0] - grid.cell_m), abs(step[1] + grid.cell_m)) > NEAR * grid.cell_m:
        return None
    col, row = ~file.transform @ (grid.west_m, grid.north_m)
    corner = round(row), round(col)
    inside = corner[0] >= 0 and corner[1] >= 0 and corner[0] + grid.n_rows <= file.height
    if max(abs(row - corner[0]), abs(col - corner[1])) > NEAR or not (inside and corner[1] + grid.n_cols <= file.width):
        return None
    return corner


def stored_numbers(stored: NDArray[Any], file: RasterFile, label: str, sense: Sense) -> NDArray[Any]:
    """Give numbers as they stand in the file their meaning of "unknown".

    Parameters
    ----------
    stored : cells of the file.
    file, label, sense : of the layer.

    Returns
    -------
    ndarray
        Classes as whole numbers, unknown ones included; measures as 32-bit floats, NaN where unknown.

    Raises
    ------
    InputError
        If numbers cannot be meant.
    """
    if sense.what == "class":
        if np.issubdtype(stored.dtype, np.integer):
            return stored
        return np.where(np.isfinite(stored), np.rint(stored), NO_CLASS).astype(np.int64)
    values = stored.astype(np.float32) * np.float32(file.scale) + np.float32(file.offset)
    if file.nodata is not None:
        values[np.isclose(stored, file.nodata, rtol=1e-6, atol=0.0)] = np.nan
    values[~np.isfinite(values)] = np.nan
    _hide(Patch(values, file.transform, file.crs), file, label, sense)
    return values


def carried_numbers(
    file: RasterFile, label: str, sense: Sense, samples: int, where: Whereabouts, window: Cells
) -> NDArray[Any]:
    """Bring a raster onto a window that does not share its lattice, every cell carried for itself.

    Parameters
    ----------
    file, label, sense : of the layer.
    samples : along the side of a cell, of :func:`hushwalk.grid.window_invariant.samples_for`.
    where : the region.
    window : first row and column, numbers of rows and columns.

    Returns
    -------
    ndarray, shape of the window
        As for :func:`stored_numbers`; classes are ``NO_CLASS`` where unknown.
    """
    way = where.way_to(file.crs)
    at = positions(where.grid, window, lambda xy: carried(xy, way), file.transform)
    classes = sense.what == "class"
    needed = at.needed(file.height, file.width)
    if needed is None:
        return np.full(window[2:], NO_CLASS if classes else np.nan, dtype=np.int32 if classes else np.float32)
    row, col, n_rows, n_cols = needed
    part = Window(col, row, n_cols, n_rows)
    if classes:
        patch = read_classes(file, part, label, network=where.network)
        return steady_classes(patch.values, (row, col), at, samples)
    patch = read_measure(file, part, label, network=where.network)
    _hide(patch, file, label, sense)
    if sense.what == "stand":
        return steady_stands(patch.values, (row, col), at)
    return steady_measures(patch.values, (row, col), at, samples)


def _hide(patch: Patch, file: RasterFile, label: str, sense: Sense) -> None:
    judge_foreign(hide_foreign(patch, sense), file, label, sense)


def turn_of(spec: LayerSettings, label: str, file: RasterFile, year: int) -> tuple[Turn, tuple[str, ...]]:
    """Say how the numbers of a layer become kinds, metres, years or shares.

    Parameters
    ----------
    spec, label, file : of the layer.
    year : of the trip, for ages given as calendar years.

    Returns
    -------
    tuple
        The function, and notices about what was assumed.

    Raises
    ------
    InputError
        If a cover layer has neither ``legend`` nor ``classes``.
    """
    if spec.kind == "cover":
        if (spec.legend is None) == (spec.classes is None):
            raise InputError(f"{label}: give one of legend and classes, to say what the classes mean")
        walk = crosswalk(spec.legend) if spec.legend else crosswalk_from_classes(spec.classes or {})
        return kinds_by_table(walk, label, PurePath(spec.path).name, file.nodata), ()
    unit = (spec.unit or file.unit or "").strip().lower()
    if spec.kind in {"elevation", "canopy_height"}:
        factor = np.float32(spec.scale * HEIGHT_UNITS.get(unit, 1.0))
        return (lambda values: values * factor), ()
    if spec.kind == "canopy_cover":
        share = SHARE_UNITS.get(unit, 0.01)
        told = () if unit in SHARE_UNITS else (f'{label}: taken as per cent; give unit = "%" or "1" to say so',)
        return (lambda values: np.clip(values * np.float32(spec.scale * share), 0, 1)), told
    return (lambda values: age_in_years(values * np.float32(spec.scale), unit, year, label)), ()


def kinds_by_table(walk: Crosswalk, label: str, name: str, nodata: float | None) -> Turn:
    """Look kinds of cover up by class code.

    Parameters
    ----------
    walk : the legend.
    label, name : how to name the layer and its file in an error.
    nodata : of the file.

    Returns
    -------
    callable
        Whole numbers -> codes of cover kinds as bytes, 0 where unknown. It raises an InputError that names the codes
        which the legend does not know.
    """
    unknown = {*walk.no_data, *(code for code in SENTINELS if code not in walk.kinds), NO_CLASS}
    if nodata is not None and np.isfinite(nodata) and nodata == int(nodata):
        unknown.add(int(nodata))
    low, high = min(0, *walk.kinds), max(*walk.kinds, 255)
    table = np.full(high - low + 1, FOREIGN, dtype=np.uint8)
    for code, kind in [*((code, 0) for code in unknown), *walk.kinds.items()]:
        if low <= code <= high:
            table[code - low] = kind
    for code in unknown - set(walk.kinds):
        if low <= code <= high:
            table[code - low] = 0
    if nodata is not None and low <= nodata <= high:
        table[int(nodata) - low] = 0

    def turned(codes: NDArray[Any]) -> NDArray[Any]:
        if codes.dtype == np.uint8 and low == 0:
            found = table[:256][codes]
        else:
            whole = codes.astype(np.int64) - low
            far = (whole < 0) | (whole >= len(table))
            found = table[np.where(far, 0, whole)]
            found[far] = np.where(np.isin(codes[far], list(unknown)), 0, FOREIGN)
        if (found == FOREIGN).any():
            foreign = np.unique(codes[found == FOREIGN])[:TOLD].tolist()
            raise InputError(
                f"{label}: {name} holds class {', '.join(map(str, foreign))}, which {walk.label} does not know; "
                "name its kind in `classes`, or give nodata"
            )
        return np.asarray(found)

    return turned
