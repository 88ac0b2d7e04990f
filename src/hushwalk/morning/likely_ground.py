"""Ground in earshot of a stop that probably holds a male, by sector.

How one goes towards it is quiet_ways.py's.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.science.crossing import turned
from hushwalk.types import FloatArray

SECTORS_MOST = 3  # judgement: nobody remembers more at four in the morning
HALF_DEG = 30.0  # judgement: twice the error of one bearing
APART_DEG = 60.0  # definition: sectors do not overlap
LEAST_SHARE = 0.15  # judgement: a side that holds less than a seventh of what is heard is not worth a line
ROUND_M = 80.0  # judgement: males of this ground are summed to find the best of a sector
STEP_DEG = 10.0  # judgement: sectors are tried this often


@dataclass(frozen=True)
class Sector:
    """One sector.

    Parameters
    ----------
    best_m : easting and northing of the best ground in it [m].
    males : expected to be heard from it.
    """

    best_m: FloatArray = field(repr=False)
    males: float


def likely_sectors(stop_m: FloatArray, places_m: FloatArray, males: FloatArray, nearest_m: float) -> tuple[Sector, ...]:
    """Find the sectors that probably hold males, the best first.

    Parameters
    ----------
    stop_m : shape (2,), where one listens [m].
    places_m : shape (n, 2), ground in earshot [m].
    males : shape (n,), males expected to be heard from each place.
    nearest_m : nearer ground is left out; a stop keeps this distance [m].

    Returns
    -------
    tuple of Sector
        At most three, none with less than a seventh of all males heard there.
    """
    away = places_m - stop_m
    far = np.hypot(*away.T) >= nearest_m
    away, left = away[far], males[far].astype(float)
    total, found = left.sum(), list[Sector]()
    azimuth = np.degrees(np.arctan2(away[:, 0], away[:, 1]))
    tries = np.arange(0.0, 360.0, STEP_DEG)
    inside = np.abs(turned(azimuth[None] - tries[:, None])) <= HALF_DEG
    free = np.ones(len(tries), bool)
    while total > 0 and free.any() and len(found) < SECTORS_MOST:
        held = np.where(free, inside @ left, -1.0)
        best = int(np.argmax(held))
        if held[best] < LEAST_SHARE * total:
            break
        mine = inside[best] & (left > 0)
        found.append(Sector(stop_m + _best_of(away[mine], left[mine]), float(held[best])))
        free &= np.abs(turned(tries - tries[best])) >= APART_DEG
        left = np.where(inside[best], 0.0, left)
    return tuple(found)


def _best_of(places_m: FloatArray, males: FloatArray) -> FloatArray:
    """The middle of the round piece of ground that holds most, shape (2,) [m]."""
    near = np.hypot(*(places_m[:, None] - places_m[None]).transpose(2, 0, 1)) <= ROUND_M
    most = near[int(np.argmax(near @ males))]
    middle: FloatArray = np.average(places_m[most], axis=0, weights=males[most])
    return middle
