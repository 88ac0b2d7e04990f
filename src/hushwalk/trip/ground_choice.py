"""Chooses the grid of a trip: the UTM zone of the car and a square round it.

What is laid on the grid is inputs.py's business.
"""

import math

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres, utm_epsg
from hushwalk.trip.settings import TripSettings

SNAP_M = 100.0  # definition: whole hundreds of metres, so that trips side by side share their cells
MOST_CELLS = 36_000_000  # judgement: a dozen layers of that size fill 4 GB


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
