"""What makes a plan doubtful although its layers are sound: no such bird there, season over, car cut off.

Weather is the verdict's business, doubts about a layer stand in its notices.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum

import numpy as np

from hushwalk.hearing.availability import peak_day, season_factor
from hushwalk.site.bird_law import BirdLaw
from hushwalk.site.bird_range import bird_region
from hushwalk.site.car_place import FAR_M, SHORE_M, NearestRoad, car_in_water, nearest_road
from hushwalk.site.detectability import Detectability
from hushwalk.site.morning_clock import Clock
from hushwalk.site.place_mends import Mend, likely_mend
from hushwalk.site.site import Site
from hushwalk.site.time_zone import wrong_zone
from hushwalk.site.walk_network import WalkNetwork

IN_SEASON = 0.25  # judgement: below a quarter of the peak a morning is better spent on another date
NEAR_CAR_M = 500.0  # judgement: what lies this near the car should be in reach of any morning
SLOWEST_MS = 0.2  # judgement: the worst thicket; slower and it is no way
CUT_OFF = 0.5  # judgement: where less than half of the near ground can be reached, something bars the way


class Trouble(Enum):
    """What makes a plan doubtful."""

    OUT_OF_SEASON = "few males display on the date"
    OUT_OF_RANGE = "the bird does not live there"
    LAW = "the law limits how the bird may be sought"
    WRONG_ZONE = "no clock there shows such a time"
    IN_WATER = "the car stands in water"
    OFF_ROAD = "the car stands far from any road"
    CUT_OFF = "the way from the car is barred"


@dataclass(frozen=True)
class MorningWarning:
    """What makes a plan doubtful.

    Parameters
    ----------
    trouble : what it is.
    share : of the males at the peak that display, or of the ground near the car that one comes to, 0..1.
    day : the date, where it is out of season.
    bird, off_km : name of the bird, and how far outside its range the place lies [km], where it does.
    mend : the place that may be meant, within the range, where a slip in typing would explain it.
    zone_error_h : how far the clock runs ahead of those of the place, where it does [h].
    zone : the time zone of the place, where the clock is off it.
    law : what limits it, where the law does.
    road : the nearest road, where the car stands in water or far from any.
    peak : the day of the peak there; None where the species card knows none for that side of the equator.
    """

    trouble: Trouble
    share: float
    day: date | None = None
    peak: date | None = None
    bird: str = ""
    off_km: float = 0.0
    mend: Mend | None = None
    zone_error_h: float = 0.0
    zone: str = ""
    law: BirdLaw | None = None
    road: NearestRoad | None = None


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
    return (
        *range_doubt(site),
        *zone_doubt(site, clock),
        *law_doubt(site),
        *car_doubt(site),
        *season_doubt(site, detectability, clock),
        *cut_off_doubt(site, clock, way),
    )


def range_doubt(site: Site) -> tuple[MorningWarning, ...]:
    """Say when the place lies outside the range of the bird."""
    if not site.region.out_of_range:
        return ()
    card, car = site.card, site.car
    mend = likely_mend(
        car.lon_deg, car.lat_deg, lambda lon, lat: not bird_region(card, site.region.key, lon, lat).out_of_range
    )
    off_km = site.region.out_of_range_km or 0.0
    return (MorningWarning(Trouble.OUT_OF_RANGE, 0.0, bird=card.name, off_km=off_km, mend=mend),)


def zone_doubt(site: Site, clock: Clock) -> tuple[MorningWarning, ...]:
    """Say when the clock of the trip is not that of the place."""
    zone = str(clock.midnight.tzinfo)
    found = wrong_zone(clock.midnight.date(), zone, site.car.lon_deg, site.car.lat_deg)
    return () if found is None else (MorningWarning(Trouble.WRONG_ZONE, 0.0, zone_error_h=found[0], zone=found[1]),)


def law_doubt(site: Site) -> tuple[MorningWarning, ...]:
    """Say what the law asks of those who seek the bird; nothing for a bird that no law is known of."""
    return tuple(MorningWarning(Trouble.LAW, 0.0, bird=site.card.name, law=law) for law in site.laws)


def car_doubt(site: Site) -> tuple[MorningWarning, ...]:
    """Say when the car stands in water, or far from every road that the layers show."""
    road = nearest_road(site)
    if car_in_water(site) and (road is None or road.far_m > SHORE_M):
        return (MorningWarning(Trouble.IN_WATER, 0.0, road=road),)
    return () if road is None or road.far_m <= FAR_M else (MorningWarning(Trouble.OFF_ROAD, 0.0, road=road),)


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
