"""What makes a plan doubtful although every layer is sound: the season is over, or the car is cut off.

Weather is the verdict's business, doubts about a layer stand in its notices.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum

import numpy as np

from hushwalk.hearing.availability import peak_day, season_factor
from hushwalk.site.detectability import Detectability
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site
from hushwalk.site.walk_network import WalkNetwork

IN_SEASON = 0.25  # judgement: below a quarter of the peak a morning is better spent on another date
NEAR_CAR_M = 500.0  # judgement: what lies this near the car should be in reach of any morning
SLOWEST_MS = 0.2  # judgement: the worst thicket; slower and it is no way
CUT_OFF = 0.5  # judgement: where less than half of the near ground can be reached, something bars the way


class Trouble(Enum):
    """What makes a plan doubtful."""

    OUT_OF_SEASON = "few males display on the date"
    CUT_OFF = "the way from the car is barred"


@dataclass(frozen=True)
class MorningWarning:
    """What makes a plan doubtful.

    Parameters
    ----------
    trouble : what it is.
    share : of the males at the peak that display, or of the ground near the car that one comes to, 0..1.
    day : the date, where it is out of season.
    peak : the day of the peak there; None where the species card knows none for that side of the equator.
    """

    trouble: Trouble
    share: float
    day: date | None = None
    peak: date | None = None


def warnings(site: Site, detectability: Detectability, clock: Clock, way: WalkNetwork) -> tuple[MorningWarning, ...]:
    """Give what makes the plan doubtful; usually nothing.

    Parameters
    ----------
    site : the ground of the trip.
    detectability : what can be heard there.
    clock : of the morning.
    way : the walk network.

    Returns
    -------
    tuple of MorningWarning
    """
    return (*season_doubt(site, detectability, clock), *cut_off_doubt(site, clock, way))


def season_doubt(site: Site, detectability: Detectability, clock: Clock) -> tuple[MorningWarning, ...]:
    """Say when few males display on the date, and when they would.

    Parameters
    ----------
    site : the ground of the trip.
    detectability : what can be heard there.
    clock : of the morning.

    Returns
    -------
    tuple of MorningWarning
        One, or none.
    """
    day, car = clock.midnight.date(), site.car
    share = season_factor(detectability.display, day.timetuple().tm_yday, car.lat_deg, car.elevation_m)
    if share >= IN_SEASON:
        return ()
    if car.lat_deg * detectability.display.peak_latitude_deg < 0:
        return (MorningWarning(Trouble.OUT_OF_SEASON, share, day),)
    days = round(peak_day(detectability.display, car.lat_deg, car.elevation_m)) - 1
    return (MorningWarning(Trouble.OUT_OF_SEASON, share, day, date(day.year, 1, 1) + timedelta(days=days)),)


def cut_off_doubt(site: Site, clock: Clock, way: WalkNetwork) -> tuple[MorningWarning, ...]:
    """Say when water, cliffs or closed ground bar the way from the car to the ground round it.

    Parameters
    ----------
    site : the ground of the trip.
    clock : of the morning.
    way : the walk network.

    Returns
    -------
    tuple of MorningWarning
        One, or none.
    """
    grid = site.grid
    rows, cols = np.indices(grid.shape)
    away = np.hypot(*(grid.xy(rows.ravel(), cols.ravel()) - np.asarray(site.car.xy_m)).T).reshape(grid.shape)
    near = (away <= min(NEAR_CAR_M, SLOWEST_MS * clock.window_s / 2)) & ~way.graph.ground.blocked
    reached = float(np.isfinite(way.from_car_s[near]).mean()) if near.any() else 1.0
    if reached >= CUT_OFF:
        return ()
    return (MorningWarning(Trouble.CUT_OFF, reached),)
