"""The invented birds: displaying males in clusters on good ground, and the bearings a walker took to them.

Published figures shape them, not the program's own suitability: what is tried on the demo must not be its own mirror.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from relief import CELL_M, FloatArray
from waters import Waters
from ways import Ways
from woods import NO_AGE, Woods

HARD_CORE_M = 130.0
PER_CLUSTER = 4.0
CLUSTER_SD_M = 350.0
MALES = 84  # about 2.7 to the square kilometre, a middling year
BEARING_ERROR_DEG = 12.0
AGE_YEARS = (0, 2, 4, 6, 10, 15, 20, 25, 30, 40, 60, 80)
AGE_SCORE = (0.02, 0.10, 0.45, 1.0, 1.0, 0.90, 0.80, 0.65, 0.45, 0.35, 0.40, 0.35)


@dataclass(frozen=True)
class Bearing:
    """One direction heard: stop, minute of the morning, azimuth from grid north [deg], and the bird it came from."""

    stop: int
    minute: int
    azimuth_deg: float
    bird: int


def quality(woods: Woods, waters: Waters) -> FloatArray:
    """How good a cell is to display in, 0..1: aspen by age, alder edge, less among conifers."""
    by_age = np.interp(np.where(woods.age_years == NO_AGE, 80, woods.age_years), AGE_YEARS, AGE_SCORE)
    kind = np.select(
        [woods.aspen, woods.cover == 90, woods.cover == 43, woods.cover == 41, woods.cover == 42, woods.cover == 52],
        [1.0, 0.4, 0.5, 0.3, 0.08, 0.3],
        0.0,
    )
    score = np.where(np.isin(woods.cover, (90, 52)), kind, kind * by_age)
    beside = np.exp(-((np.minimum(np.abs(waters.distance_m - 45), 200) / 110) ** 2))
    good = np.clip(ndimage.gaussian_filter(score * (0.75 + 0.5 * beside), 4), 0, 1)
    return np.where(np.isin(woods.cover, (11, 21, 71, 81, 95)), 0.0, good)


def make_birds(rng: np.random.Generator, good: FloatArray) -> FloatArray:
    """Place males, shape (n, 2) in cells: clusters on good ground, none within 130 m of another."""
    side = good.shape[0]
    places: list[FloatArray] = []
    while len(places) < MALES:
        middle = rng.uniform(0, side, 2)
        if rng.random() > good[int(middle[0]), int(middle[1])]:
            continue
        for place in middle + rng.normal(0, CLUSTER_SD_M / CELL_M, (rng.poisson(PER_CLUSTER), 2)):
            inside = (place >= 3).all() and (place < side - 3).all()
            apart = all(np.hypot(*(place - other)) * CELL_M >= HARD_CORE_M for other in places)
            if inside and apart and rng.random() < good[int(place[0]), int(place[1])] ** 1.5 and len(places) < MALES:
                places.append(place)
    return np.array(places)


def listening_places(ways: Ways) -> FloatArray:
    """Stops every 300 m along the two-track from the car park, shape (11, 2) in cells."""
    line = np.concatenate([way.places for way in ways.ways if way.kind == "two-track"])
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))]) * CELL_M
    wanted = 150 + 300 * np.arange(11)
    return np.stack([np.interp(wanted, along, line[:, k]) for k in range(2)], axis=-1)


def make_bearings(rng: np.random.Generator, stops: FloatArray, birds: FloatArray) -> tuple[Bearing, ...]:
    """Bearings from each stop to the males heard there, in the order of the morning."""
    heard = []
    for number, stop in enumerate(stops):
        away = np.hypot(*(birds - stop).T) * CELL_M
        for bird in np.flatnonzero(rng.random(len(birds)) < 0.9 * np.exp(-((away / 380) ** 2))):
            step = birds[bird] - stop
            azimuth = np.degrees(np.arctan2(step[1], -step[0])) + rng.normal(0, BEARING_ERROR_DEG)
            heard.append(Bearing(number, int(number * 12 + rng.integers(0, 6)), float(azimuth % 360), int(bird)))
    return tuple(sorted(heard, key=lambda b: (b.stop, b.minute)))
