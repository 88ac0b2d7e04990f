"""The edge of hearing round a stop: rings on the map, how far in which direction, in words.

The chances themselves live in footprint.py.
"""

from dataclasses import dataclass, field

import numpy as np
from contourpy import contour_generator

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.profile import bilinear
from hushwalk.types import FloatArray

DIRECTIONS = 72
"""Judgement: a farthest side that is less than 15 % beyond the nearest is not worth a word."""


@dataclass(frozen=True, eq=False)
class Earshot:
    """Where the chance to hear one display falls below a level.

    Parameters
    ----------
    level : the chance.
    rings : closed rings round all ground above the level, each of shape (k, 2) [m].
    azimuth_deg : shape (72,) directions from true north as the grid has it [degrees].
    radius_m : shape (72,) distance in each direction to where the chance first falls below the level [m].
    """

    level: float
    rings: tuple[FloatArray, ...] = field(repr=False)
    azimuth_deg: FloatArray = field(repr=False)
    radius_m: FloatArray = field(repr=False)

    @property
    def median_m(self) -> float:
        """Median distance [m]."""
        return float(np.median(self.radius_m))


def earshot(chance: Layer, stop_m: FloatArray, level: float = 0.5) -> Earshot:
    """Draw the edge of hearing round a stop.

    Parameters
    ----------
    chance : a footprint.
    stop_m : shape (2,) easting and northing of its stop [m].
    level : chance at the edge, between 0 and 1.

    Returns
    -------
    Earshot

    Raises
    ------
    SettingsError
        If the level does not lie between 0 and 1.
    PlaceError
        If the stop lies off the grid.
    """
    if not 0 < level < 1:
        raise SettingsError(f"the level of an earshot lies between 0 and 1, got {level}")
    grid, stop = chance.grid, np.asarray(stop_m, dtype=float)
    grid.cell_at(stop, "the stop of an earshot")
    known = np.nan_to_num(chance.values, nan=0.0)
    rings = _rings(known, grid, level)
    azimuth = np.arange(DIRECTIONS) * 360.0 / DIRECTIONS
    longest = _farthest_m(known, grid, stop)
    steps = np.arange(0, longest, grid.cell_m / 2)
    heading = np.stack([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))], axis=-1)
    points = stop + steps[:, np.newaxis, np.newaxis] * heading
    layer = chance.with_values(known)
    along = np.nan_to_num(bilinear(layer, points.reshape(-1, 2)).reshape(len(steps), DIRECTIONS), nan=0.0)
    below = along < level
    first = np.where(below.any(axis=0), below.argmax(axis=0), len(steps) - 1)
    before = np.maximum(first - 1, 0)
    ray = np.arange(DIRECTIONS)
    drop = along[before, ray] - along[first, ray]
    part = np.where(drop > 0, (along[before, ray] - level) / np.where(drop > 0, drop, 1.0), 0.0)
    radius = np.where(first > 0, steps[before] + np.clip(part, 0, 1) * (steps[1] - steps[0]), 0.0)
    return Earshot(level, tuple(rings), azimuth, radius)


def _rings(known: FloatArray, grid: Grid, level: float) -> list[FloatArray]:
    """Closed rings round all ground above the level; only the part of the grid where anything is heard is looked at."""
    heard_rows, heard_cols = np.flatnonzero(known.any(axis=1)), np.flatnonzero(known.any(axis=0))
    if len(heard_rows) == 0:
        return []
    top, left, bottom, right = heard_rows[0], heard_cols[0], heard_rows[-1] + 1, heard_cols[-1] + 1
    rimmed = np.pad(known[top:bottom, left:right], 1)  # a rim of silence closes the rings at the edge of the grid
    east = grid.west_m + (np.arange(left - 1, right + 1) + 0.5) * grid.cell_m
    north = grid.north_m - (np.arange(top - 1, bottom + 1) + 0.5) * grid.cell_m
    return [np.asarray(ring) for ring in contour_generator(east, north, rimmed).lines(level)]


def _farthest_m(known: FloatArray, grid: Grid, stop: FloatArray) -> float:
    """Distance past the last cell where anything is heard [m]."""
    heard = grid.xy(*np.nonzero(known))
    away = np.hypot(heard[:, 0] - stop[0], heard[:, 1] - stop[1]) if len(heard) else np.zeros(1)
    return float(away.max()) + 2 * grid.cell_m
