"""Straight back to the car: where it lies and how long the way takes, when there is no time for another stop.

What is left of a walk that can still go on is replan.py's.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.grid.points import to_metres
from hushwalk.morning.look_round import Morning
from hushwalk.notes.planned_walk import PlannedStop
from hushwalk.site.norths import north_of
from hushwalk.walking.shortest_paths import walking_time_from

FULL_TURN = 360.0  # definition


@dataclass(frozen=True)
class StraightBack:
    """The way home from a stop.

    Parameters
    ----------
    at : the stop, or the car.
    magnetic_deg : straight towards the car, as a compass reads it [deg].
    away_m : as the crow flies [m].
    minutes : on the quickest way [min].
    back : when one is at the car on the quickest way.
    due : the promise.
    car : place of the car, in USNG.
    """

    at: str
    magnetic_deg: float
    away_m: float
    minutes: float
    back: datetime
    due: datetime
    car: str


class TooLateError(NoPlanError):
    """There is no time for another stop; ``way`` says how to come home, ``reason`` why where time alone does not."""

    def __init__(self, way: StraightBack, reason: str = "") -> None:
        said = reason or "there is no time for another stop"
        super().__init__(f"{said}; go straight back to the car, {way.car}")
        self.way, self.reason = way, reason


def straight_back(morning: Morning, made: tuple[PlannedStop, ...], now: datetime) -> StraightBack:
    """Say how to come home from the last stop that was made.

    Parameters
    ----------
    morning : the ground and the clock.
    made : stops so far; where none was made one stands at the car.
    now : the moment.

    Returns
    -------
    StraightBack
    """
    site = morning.site
    car = np.asarray(site.car.xy_m)
    here = np.array(to_metres(site.grid.epsg, (made[-1].lon_deg, made[-1].lat_deg))) if made else car
    away = car - here
    north = north_of(site, morning.clock)
    grid_deg = float(np.degrees(np.arctan2(away[0], away[1])))
    seconds = (
        float(walking_time_from(morning.way.graph, (float(here[0]), float(here[1]))).at(car[np.newaxis])[0])
        if made
        else 0.0
    )
    return StraightBack(
        at=made[-1].name if made else site.car.name,
        magnetic_deg=(grid_deg + north.convergence_deg - north.declination_deg) % FULL_TURN,
        away_m=float(np.hypot(*away)),
        minutes=seconds / 60,
        back=now + timedelta(seconds=seconds),
        due=morning.clock.at(morning.clock.latest_s),
        car=site.car.usng,
    )
