"""Packs the values that a click on the page reads, cell by cell on the trip's own grid.

What is said of them is said by the page's script.
"""

import base64
from dataclasses import dataclass

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.outputs.kit.palette import BANDS
from hushwalk.site.country import Country
from hushwalk.site.scene import Scene

UNKNOWN = 255
STEPS = 250
VALUES_MAX = 3_000_000  # judgement: 4 MB of page, half of what a phone opens without complaint


@dataclass(frozen=True)
class Packed:
    """One layer as whole numbers 0..250 (255 unknown): value = offset + number * step."""

    offset: float
    step: float
    text: str

    def as_json(self) -> dict[str, object]:
        """Give the form that the page's script reads."""
        return {"offset": self.offset, "step": self.step, "cells": self.text}


def pack(layer: Layer, every: int, *, low: float, high: float) -> Packed:
    """Pack a layer, taking each ``every``-th cell.

    Parameters
    ----------
    layer : the values.
    every : 1 keeps all cells.
    low, high : the range that the numbers span; values beyond it are held at its ends.

    Returns
    -------
    Packed
        One byte a cell; cells without a value hold UNKNOWN.
    """
    step = (high - low) / STEPS if high > low else 1.0
    values = layer.values[every // 2 :: every, every // 2 :: every]
    number = np.clip(np.round((values - low) / step), 0, STEPS)
    cells = np.where(np.isfinite(values), number, UNKNOWN).astype(np.uint8)
    return Packed(low, step, base64.b64encode(cells.tobytes()).decode())


def cell_values(scene: Scene) -> dict[str, object]:
    """Give everything that the page needs to answer "why here" anywhere on the ground."""
    country, grid = scene.country, scene.grid
    every = _every(grid, len(country.ingredients) + 4)
    heights = country.elevation.values[country.elevation.known]
    low, high = (float(heights.min()), float(heights.max())) if heights.size else (0.0, 1.0)
    density = country.density_per_km2.values
    most = float(np.nanmax(density)) if np.isfinite(density).any() else 1.0
    return {
        "grid": _grid_json(grid, every),
        "bands": [{"low": b.low, "high": b.high, "word": b.word, "colour": b.colour} for b in BANDS],
        "suitability": pack(country.suitability, every, low=0.0, high=1.0).as_json(),
        "elevation": pack(country.elevation, every, low=low, high=high).as_json(),
        "density": pack(country.density_per_km2, every, low=0.0, high=most).as_json(),
        "cover": _cover(country, every),
        "ingredients": [
            {
                "label": ingredient.label,
                "weight": ingredient.weight,
                "role": ingredient.role,
                "assumed": ingredient.assumed,
                **pack(ingredient.layer, every, low=0.0, high=1.0).as_json(),
            }
            for ingredient in country.ingredients
        ],
    }


def _every(grid: Grid, layers: int) -> int:
    every = 1
    while grid.n_cells * layers / every**2 > VALUES_MAX:
        every += 1
    return every


def _grid_json(grid: Grid, every: int) -> dict[str, float]:
    rows, cols = (len(range(every // 2, n, every)) for n in grid.shape)
    return {
        "epsg": grid.epsg,
        "west_m": grid.west_m,
        "north_m": grid.north_m,
        "cell_m": grid.cell_m * every,
        "rows": rows,
        "cols": cols,
    }


def _cover(country: Country, every: int) -> dict[str, object] | None:
    if country.cover is None:
        return None
    packed = pack(country.cover, every, low=0.0, high=float(STEPS)).as_json()
    return {**packed, "kinds": {str(code): label for code, (_, label) in country.kinds.items()}}
