"""From where one stop hears: the chance for every cell within reach, over the real ground.

One path term by term lives in path.py; many stops at once in coverage.py.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.rays import hear_targets
from hushwalk.hearing.scene import make_scene
from hushwalk.types import FloatArray, IntArray

if TYPE_CHECKING:
    from hushwalk.grid.grid import Grid
    from hushwalk.hearing.call import Call
    from hushwalk.hearing.conditions import Conditions
    from hushwalk.hearing.listener import Listener


THREADS_MAX = 2


@dataclass(frozen=True)
class FootprintParams:
    """How footprints are computed.

    Parameters
    ----------
    reach_m : farther males are not counted [m].
    target_cell_m : size of the cells that a coverage is given for [m].
    ground_factor : 0 for hard to 1 for porous ground.
    chance_floor : smaller chances count as none.
    threads : 1 or 2.

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    reach_m: float = 800.0
    target_cell_m: float = 50.0
    ground_factor: float = 1.0
    chance_floor: float = 0.001
    threads: int = 2

    def __post_init__(self) -> None:
        good = self.reach_m > 0 and self.target_cell_m > 0 and 0 <= self.ground_factor <= 1
        if not (good and 0 <= self.chance_floor < 1 and 1 <= self.threads <= THREADS_MAX):
            raise SettingsError(
                "a footprint needs reach_m > 0, target_cell_m > 0, ground_factor and chance_floor 0 to 1 and "
                f"1 or {THREADS_MAX} threads, got {self}"
            )


def footprint(
    stop_m: FloatArray,
    elevation: Layer,
    foliage: Layer | None,
    stream_noise_dba: Layer | None,
    call: "Call",
    conditions: "Conditions",
    listener: "Listener",
    params: FootprintParams | None = None,
) -> Layer:
    """Chance to hear one display at a stop, for every cell of the grid.

    Parameters
    ----------
    stop_m : shape (2,) easting and northing [m].
    elevation, foliage, stream_noise_dba, call, conditions, listener : as in
        :func:`hushwalk.hearing.scene.make_scene`.
    params : how to compute.

    Returns
    -------
    Layer
        Chance 0..1 on the grid of the elevation: 0 beyond reach, NaN where the path is unknown.

    Raises
    ------
    InputError, PlaceError, GridMismatchError
        As in :func:`hushwalk.hearing.scene.make_scene` and :func:`hushwalk.hearing.rays.hear_targets`.
    """
    how = params or FootprintParams()
    scene = make_scene(elevation, foliage, stream_noise_dba, call, conditions, listener, how.reach_m, how.ground_factor)
    stop, grid = np.asarray(stop_m, dtype=float), elevation.grid
    rows, cols = _cells_within(grid, stop, how.reach_m)
    chance = np.zeros(grid.shape)
    chance[rows, cols] = hear_targets(scene, stop, grid.xy(rows, cols), how.chance_floor)
    step = f"chance to hear one display at E {stop[0]:.0f} N {stop[1]:.0f}"
    return elevation.with_values(chance, name="chance heard", unit="1", step=step)


def _cells_within(grid: "Grid", stop_m: FloatArray, reach_m: float) -> tuple[IntArray, IntArray]:
    """Rows and columns of the cells whose middle lies within reach of a stop."""
    centre = np.array([(grid.north_m - stop_m[1]) / grid.cell_m, (stop_m[0] - grid.west_m) / grid.cell_m])
    reach = reach_m / grid.cell_m + 1
    first = np.clip(np.floor(centre - reach), 0, grid.shape).astype(int)
    last = np.clip(np.ceil(centre + reach), 0, grid.shape).astype(int)
    rows, cols = (part.ravel() for part in np.mgrid[first[0] : last[0], first[1] : last[1]])
    places = grid.xy(rows, cols)
    near = np.hypot(places[:, 0] - stop_m[0], places[:, 1] - stop_m[1]) <= reach_m
    return rows[near], cols[near]
