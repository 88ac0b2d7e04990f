"""How far one hears from everywhere: the effective detection radius of an ear on every cell of a coarse grid.

The chances come from soundscape.py; the edge of hearing round one stop is earshot.py's.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.types import FloatArray

CELL_M = 100.0  # judgement: two stops so near each other hear the same; ten seconds for the ground of a dawn walk
RING_M = 25.0  # judgement: the chance changes little within 25 m; half of it moves the radius by less than 2 %
DIRECTIONS = 36  # judgement: likewise for 10 degrees


def earshot_map(
    soundscape: Soundscape, cell_m: float = CELL_M, report: Callable[[int, int], None] = lambda _done, _of: None
) -> Layer:
    """Give how far one hears from the middle of every cell of a coarse grid.

    Parameters
    ----------
    soundscape : ground, air, call and listener.
    cell_m : size of the cells, rounded to whole cells of the ground [m].
    report : is called with the numbers of finished and of all rows of cells.

    Returns
    -------
    Layer
        Effective detection radius [m]; NaN where the ground under the ear is not known.

    Raises
    ------
    SettingsError
        If the cells are smaller than those of the ground, or larger than the ground.

    Notes
    -----
    ``r_e = sqrt(2 integral g(r) r dr)``, with ``g`` the mean chance over all directions in which the ground is known:
    as many displays are missed within it as are heard beyond it. Off the rim of the ground it is as in the directions
    that are known.

    References
    ----------
    buckland_2001
    """
    fine = soundscape.ground.elevation.grid
    factor = round(cell_m / fine.cell_m)
    if factor < 1 or factor > max(fine.shape):
        raise SettingsError(
            f"an earshot map has cells of {fine.cell_m:g} m, those of the ground, or larger, and no larger than the "
            f"ground; got {cell_m:g}"
        )
    grid = fine.coarsened(factor)
    values = np.full(grid.shape, np.nan)
    known = np.isfinite(soundscape.ground.elevation.values) & (soundscape.ground.foliage_steps >= 0)
    with ThreadPoolExecutor(soundscape.params.threads) as pool:
        for row in range(grid.n_rows):
            places = grid.xy([row] * grid.n_cols, range(grid.n_cols))
            inside = fine.contains(places)
            rows, cols = (part[inside] for part in fine.rowcol(places))
            heard = np.flatnonzero(inside)[known[rows, cols]]
            values[row, heard] = list(pool.map(partial(effective_radius, soundscape), places[heard]))
            report(row + 1, grid.n_rows)
    evidence = soundscape.listener.evidence
    story = (f"effective detection radius of an ear in the middle of each cell, {evidence} evidence",)
    return Layer("earshot", "m", grid, values, story)


def effective_radius(soundscape: Soundscape, ear_m: FloatArray) -> float:
    """Effective detection radius of one ear [m].

    Parameters
    ----------
    soundscape : ground, air, call and listener.
    ear_m : shape (2,) easting and northing [m].
    """
    grid = soundscape.ground.elevation.grid
    edges = np.append(np.arange(0.0, soundscape.params.reach_m, RING_M), soundscape.params.reach_m)
    azimuth = np.radians((np.arange(DIRECTIONS) + 0.5) * 360.0 / DIRECTIONS)
    towards = np.stack([np.sin(azimuth), np.cos(azimuth)], axis=-1)
    places = (ear_m + ((edges[:-1] + edges[1:]) / 2)[:, None, None] * towards).reshape(-1, 2)
    there, heard = grid.contains(places), np.full(len(places), np.nan)
    heard[there] = soundscape.chances(ear_m, places[there])
    chance = heard.reshape(len(edges) - 1, DIRECTIONS)
    counted = np.isfinite(chance).sum(axis=1)
    mean = np.nansum(chance, axis=1) / np.maximum(counted, 1)
    return float(np.sqrt((mean * np.diff(edges**2)).sum()))
