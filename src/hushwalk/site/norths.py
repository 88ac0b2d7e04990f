"""How true, grid and magnetic north lie at the car on the day.

Turning a compass reading into a bearing is the notes room's business.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.points import convergence_deg
from hushwalk.science.magnetic import CompassUse, declination
from hushwalk.site.morning_clock import Clock
from hushwalk.site.place import Place
from hushwalk.site.site import Site


@dataclass(frozen=True)
class North:
    """How the three norths lie, at the car on the day. East is positive.

    Parameters
    ----------
    declination_deg : from true to magnetic north [degrees].
    declination_error_deg : one standard deviation of it [degrees].
    convergence_deg : from true to grid north [degrees].
    compass : how far a needle is to be trusted there; None where the place is withheld.
    """

    declination_deg: float
    declination_error_deg: float
    convergence_deg: float
    compass: CompassUse | None = "good"


def north_of(site: Site, clock: Clock) -> North:
    """How true, grid and magnetic north lie at the car on the day."""
    return north_at(site.grid, site.car, clock.midnight.date())


def north_at(grid: Grid, place: Place, day: date) -> North:
    """How true, grid and magnetic north lie at a place on a day.

    Parameters
    ----------
    grid : whose north is the grid's.
    place : on it; where its height is not known, sea level is taken.
    day : of the walk.

    Returns
    -------
    North
    """
    height_m = float(np.nan_to_num(place.elevation_m))
    magnetic = declination(day, place.lon_deg, place.lat_deg, height_m)
    grid_deg = float(convergence_deg(grid.epsg, np.asarray(place.xy_m)))
    return North(magnetic.declination_deg, magnetic.error_deg, grid_deg, magnetic.compass)
