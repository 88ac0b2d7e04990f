"""The shape of the ground from its heights: slope, aspect and hillshade.

Horizons and shade of the real sun are not made here.
"""

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray

UPRIGHT_DEG = 90.0  # definition


def gradient(elevation: Layer) -> tuple[FloatArray, FloatArray]:
    """Rise towards grid east and towards grid north.

    Parameters
    ----------
    elevation : heights [m].

    Returns
    -------
    tuple of ndarray, each of shape grid.shape
        dz/dE and dz/dN [1]; NaN where the cell's own height is unknown.

    Notes
    -----
    Horn's weighted differences over the eight neighbours, weights 1 2 1. Beyond the edge the ground goes on straight.
    A neighbour that is unknown is put on the straight line through the cell and the neighbour opposite; where both are
    unknown, at the cell's own height. So the gradient of a plane is exact up to the corners.

    References
    ----------
    horn_1981
    """
    z = elevation.values
    around = _neighbours(z)
    east = around[-1, 1] + 2 * around[0, 1] + around[1, 1]
    west = around[-1, -1] + 2 * around[0, -1] + around[1, -1]
    north = around[-1, -1] + 2 * around[-1, 0] + around[-1, 1]
    south = around[1, -1] + 2 * around[1, 0] + around[1, 1]
    run_m = 8 * elevation.grid.cell_m
    unknown = np.where(np.isnan(z), np.nan, 0.0)
    return (east - west) / run_m + unknown, (north - south) / run_m + unknown


def _neighbours(z: FloatArray) -> dict[tuple[int, int], FloatArray]:
    """Heights of the eight neighbours by (row step, column step), missing ones filled in."""
    padded = np.pad(z, 1, mode="reflect", reflect_type="odd")
    n_rows, n_cols = z.shape
    steps = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if (i, j) != (0, 0)]
    raw = {(i, j): padded[1 + i : 1 + i + n_rows, 1 + j : 1 + j + n_cols] for i, j in steps}
    filled = {}
    for i, j in steps:
        opposite = raw[-i, -j]
        guess = np.where(np.isnan(opposite), z, 2 * z - opposite)
        filled[i, j] = np.where(np.isnan(raw[i, j]), guess, raw[i, j])
    return filled


def slope(elevation: Layer) -> Layer:
    """Steepness of the ground.

    Parameters
    ----------
    elevation : heights [m].

    Returns
    -------
    Layer
        ``"slope"`` in degrees from the horizontal, 0..90.

    References
    ----------
    horn_1981
    """
    east, north = gradient(elevation)
    return elevation.with_values(
        np.degrees(np.arctan(np.hypot(east, north))), name="slope", unit="deg", step="slope by Horn's method"
    )


def aspect(elevation: Layer, *, convergence_deg: float = 0.0) -> Layer:
    """Direction in which the ground falls.

    Parameters
    ----------
    elevation : heights [m].
    convergence_deg : grid north east of true north [deg]; with 0 the result counts from grid north.

    Returns
    -------
    Layer
        ``"aspect"`` in degrees clockwise from north, 0 <= a < 360; NaN where the ground is level.

    References
    ----------
    horn_1981
    """
    east, north = gradient(elevation)
    downhill_deg = np.mod(np.degrees(np.arctan2(-east, -north)) + convergence_deg, 360.0)
    downhill_deg = np.where((east == 0) & (north == 0), np.nan, downhill_deg)
    return elevation.with_values(downhill_deg, name="aspect", unit="deg", step="aspect by Horn's method")


def northness(elevation: Layer) -> Layer:
    """How far the ground falls to the north rather than to the south.

    Parameters
    ----------
    elevation : heights [m].

    Returns
    -------
    Layer
        ``"northness"``, the cosine of the aspect: 1 where the ground falls to grid north, -1 to grid south, 0 where it
        is level; NaN where unknown. Grid north differs from true north by less than 3 degrees, which moves it by less
        than 0.06.

    References
    ----------
    lewis_2022
    """
    east, north = gradient(elevation)
    run = np.hypot(east, north)
    with np.errstate(invalid="ignore", divide="ignore"):
        towards = np.where(run == 0, 0.0, -north / run)
    return elevation.with_values(towards, name="northness", unit="1", step="cosine of the aspect")


def hillshade(
    elevation: Layer, *, azimuth_deg: float = 315.0, altitude_deg: float = 45.0, exaggeration: float = 1.0
) -> Layer:
    """Brightness of matt ground under one lamp, without cast shadows.

    Parameters
    ----------
    elevation : heights [m].
    azimuth_deg : where the light comes from, clockwise from grid north; the north-west is map-makers' custom.
    altitude_deg : height of the light, 0..90.
    exaggeration : multiplies the heights.

    Returns
    -------
    Layer
        ``"hillshade"``, 0 (turned away) .. 1 (facing the light).

    Raises
    ------
    SettingsError
        If the altitude or the exaggeration is out of range.

    Notes
    -----
    max(0, n . s) for the unit normal n of the ground and the unit vector s to the light.

    References
    ----------
    horn_1981
    """
    if not (0 <= altitude_deg <= UPRIGHT_DEG and exaggeration > 0):
        raise SettingsError(
            f"a hillshade needs a light 0..90 deg high and an exaggeration above 0, got {altitude_deg}, {exaggeration}"
        )
    east, north = (exaggeration * part for part in gradient(elevation))
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    towards = -east * np.sin(azimuth) - north * np.cos(azimuth)
    shade = (np.sin(altitude) + np.cos(altitude) * towards) / np.sqrt(1 + east**2 + north**2)
    return elevation.with_values(np.maximum(shade, 0.0), name="hillshade", unit="1", step="hillshade by Horn's method")
