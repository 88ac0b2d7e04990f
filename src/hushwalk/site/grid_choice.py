"""Chooses the grid of a trip: the UTM zone of the car and a square round it.

What is laid on the grid is inputs.py's business.
"""

import math

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres, utm_epsg
from hushwalk.site.settings import TripSettings

SNAP_M = 100.0  # definition: whole hundreds of metres, so that trips side by side share their cells
MOST_CELLS = 36_000_000  # judgement: a dozen layers of that size fill 4 GB
BASE_MB = 600.0  # measured: what a plan takes on next to no ground, and a margin (docs/benchmarks/memory.md)
MB_A_CELL = 1450e-6  # measured: what each cell adds, in both processes of a plan (docs/benchmarks/memory.md)
MOST_MB = 4000.0  # judgement: what a laptop can spare


def choose_grid(settings: TripSettings, car_lonlat: tuple[float, float]) -> Grid:
    """Choose the grid of a trip.

    Parameters
    ----------
    settings : ``ground.reach_m`` is the half-width, ``ground.cell_m`` the cell size.
    car_lonlat : longitude and latitude of the car [deg].

    Returns
    -------
    Grid
        In the UTM zone of the car, its corner on whole hundreds of metres.

    Raises
    ------
    SettingsError
        If the grid would have more cells than a laptop holds.
    PlaceError
        If the car stands where there is no UTM zone.
    """
    lon, lat = car_lonlat
    reach_m, cell_m = settings.ground.reach_m, settings.ground.cell_m
    epsg = utm_epsg(lon, lat)
    east, north = (float(v) for v in to_metres(epsg, [lon, lat]))
    west_m = math.floor((east - reach_m) / SNAP_M) * SNAP_M
    north_m = math.ceil((north + reach_m) / SNAP_M) * SNAP_M
    n_cols = math.ceil((math.ceil((east + reach_m) / SNAP_M) * SNAP_M - west_m) / cell_m)
    n_rows = math.ceil((north_m - math.floor((north - reach_m) / SNAP_M) * SNAP_M) / cell_m)
    if n_cols * n_rows > MOST_CELLS:
        least_m = math.ceil(cell_m * math.sqrt(n_cols * n_rows / MOST_CELLS))
        raise SettingsError(
            f"ground: {n_rows} x {n_cols} cells of {cell_m:g} m are more than a laptop holds; set ground.cell_m to "
            f"{least_m} or more, or ground.reach_m to {math.sqrt(MOST_CELLS) / 2 * cell_m - SNAP_M:.0f} or less"
        )
    return Grid(epsg, west_m, north_m, cell_m, n_rows, n_cols)


def memory_mb(n_cells: int) -> float:
    """Memory that a plan takes at its peak, from the number of cells of its ground [MB]."""
    return BASE_MB + n_cells * MB_A_CELL


def check_memory(grid: Grid) -> None:
    """Refuse to plan on ground that takes more memory than a laptop can spare, before anything is read.

    Raises
    ------
    SettingsError
        With what to change.
    """
    if (need_mb := memory_mb(grid.n_cells)) <= MOST_MB:
        return
    most = (MOST_MB - BASE_MB) / MB_A_CELL
    least_m = math.ceil(grid.cell_m * math.sqrt(grid.n_cells / most))
    reach_m = math.floor((math.sqrt(most) / 2 * grid.cell_m - SNAP_M) / SNAP_M) * SNAP_M
    raise SettingsError(
        f"ground: a plan on {grid.n_rows} x {grid.n_cols} cells of {grid.cell_m:g} m takes about "
        f"{need_mb / 1000:.1f} GB of memory, and {MOST_MB / 1000:g} GB are spared for it; set ground.cell_m to "
        f"{least_m} or more, or ground.reach_m to {reach_m:.0f} or less"
    )
