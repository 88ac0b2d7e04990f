"""How much of each cell roads and houses take, where no land cover says it.

What a road is called in a layer is ways.py's business.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from hushwalk.files.vectors import Feature
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray

TAKEN = ("roads", "trails", "buildings")
"""Definition: kinds of layer whose things take ground."""

WIDTHS_M: Mapping[str, float] = {
    "motorway": 30.0,
    "ramp": 15.0,
    "trunk": 16.0,
    "primary": 14.0,
    "secondary": 12.0,
    "street": 10.0,
    "service": 6.0,
    "driveway": 6.0,
    "private": 6.0,
    "track": 4.0,
    "path": 0.0,
    "none": 0.0,
}
"""Judgement: width of a way with its verges, on which no tree stands [m]."""

UNSAID_M = {"roads": 8.0, "trails": 0.0}  # judgement: a way whose class no layer says
YARD_M = 15.0  # judgement: round a house the ground is lawn, drive and yard
FINER = 5  # judgement: parts of a side of a cell, so that a strip is known to a fifth of a cell


def taken_share(features: Mapping[str, Sequence[Feature]], grid: Grid) -> FloatArray | None:
    """Share of each cell that roads and houses take.

    Parameters
    ----------
    features : by kind of layer, in metres of the grid.
    grid : the ground.

    Returns
    -------
    ndarray or None
        Shape grid.shape, 0..1; None where there is nothing.
    """
    shapes = [_strip(kind, one) for kind in TAKEN for one in features.get(kind, ())]
    shapes = [shape for shape in shapes if not shape.is_empty]
    if not shapes:
        return None
    fine = replace(grid, cell_m=grid.cell_m / FINER, n_rows=grid.n_rows * FINER, n_cols=grid.n_cols * FINER)
    parts = burn(shapes, fine).reshape(grid.n_rows, FINER, grid.n_cols, FINER)
    return np.asarray(parts.mean(axis=(1, 3)))


def _strip(kind: str, one: Feature) -> Any:  # noqa: ANN401  a shape
    if kind == "buildings":
        return shapely.buffer(one.geometry, YARD_M)
    traits = one.traits
    if traits is not None and traits.level == "tunnel":
        return shapely.Polygon()
    width = WIDTHS_M[traits.kind] if traits is not None and traits.kind else UNSAID_M[kind]
    return shapely.buffer(one.geometry, width / 2) if width else shapely.Polygon()
