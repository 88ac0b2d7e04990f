"""The invented woods: stands with curved edges, cuts of many ages, alder along the streams, open and wet ground.

Cover has the codes of the national land-cover legend of the United States with those of its science product.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from relief import CELL_M, FloatArray, IntArray, Relief, noise
from waters import Waters
from ways import Ways

WATER, VERGE, HARDWOOD, CONIFER, MIXED, YOUNG, CLEARING, SHRUB, MEADOW, HAY, ALDER, MARSH = (
    11, 21, 41, 42, 43, 45, 46, 52, 71, 81, 90, 95,
)  # fmt: skip
NO_AGE = 255
CUT_AGES = (1, 2, 4, 6, 7, 9, 11, 13, 16, 18, 22, 26)


@dataclass(frozen=True, eq=False)
class Woods:
    """By cell: cover code, years since cut or fire (255 where no trees grow), canopy closure [%], aspen or not."""

    cover: NDArray[np.uint8]
    age_years: NDArray[np.uint8]
    canopy_pct: NDArray[np.uint8]
    aspen: NDArray[np.bool_]


def make_woods(rng: np.random.Generator, relief: Relief, waters: Waters, ways: Ways, slope_deg: FloatArray) -> Woods:
    """Grow the woods on the ground."""
    shape = relief.height_m.shape
    dry = _dryness(rng, waters, slope_deg)
    stands, cover, age, aspen = _stands(rng, dry, _distance_to_ways(ways, shape))
    kept = waters.distance_m < 28 + 10 * noise(rng, shape[0], CELL_M, 60, 300)
    reserve = kept & np.isin(cover, (YOUNG, CLEARING))
    cover[reserve], age[reserve] = HARDWOOD, 62
    _open_ground(rng, cover, ways, dry)
    strip = waters.distance_m < 15 + 8 * noise(rng, shape[0], CELL_M, 40, 250)
    cover[strip | waters.wet] = ALDER
    cover[waters.wet & _marsh(rng, relief, waters)] = MARSH
    cover[_near_way(ways, shape, "gravel road", 1)] = VERGE
    cover[relief.ponds > 0] = WATER
    age[~np.isin(cover, (HARDWOOD, CONIFER, MIXED, YOUNG, CLEARING))] = NO_AGE
    aspen &= np.isin(cover, (HARDWOOD, MIXED, YOUNG, CLEARING))
    return Woods(cover.astype(np.uint8), age.astype(np.uint8), _canopy(rng, cover, age, stands), aspen)


def _dryness(rng: np.random.Generator, waters: Waters, slope_deg: FloatArray) -> FloatArray:
    side = slope_deg.shape[0]
    height = np.clip(ndimage.gaussian_filter(waters.above_m, 6) / 14, 0, 1.4)
    return height + 0.05 * slope_deg + 0.45 * noise(rng, side, CELL_M, 300, 2500) - 0.75


def _stands(
    rng: np.random.Generator, dry: FloatArray, way_m: FloatArray
) -> tuple[IntArray, IntArray, IntArray, NDArray[np.bool_]]:
    side = dry.shape[0]
    seeds = _spread(rng, side, 15.0)
    bend = [5.5 * noise(rng, side, CELL_M, 150, 600) + 0.5 * noise(rng, side, CELL_M, 40, 120) for _ in range(2)]
    rows, cols = np.mgrid[0:side, 0:side]
    stands = (
        cKDTree(seeds).query(np.stack([rows + bend[0], cols + bend[1]], axis=-1).reshape(-1, 2))[1].reshape(dry.shape)
    )
    numbers = np.arange(len(seeds))
    cells = np.maximum(np.bincount(stands.ravel(), minlength=len(seeds)), 1)
    dryness, reach = (np.bincount(stands.ravel(), part.ravel(), len(seeds)) / cells for part in (dry, way_m))
    kinds, ages, aspens = (np.zeros(len(seeds), np.int64) for _ in range(3))
    for n in numbers:
        kinds[n], ages[n], aspens[n] = _one_stand(rng, float(dryness[n]), float(reach[n]))
    return stands, kinds[stands], ages[stands], aspens[stands] > 0


def _spread(rng: np.random.Generator, side: int, apart: float) -> FloatArray:
    """Places no nearer to each other than ``apart`` cells, some much farther."""
    kept: list[FloatArray] = []
    for place in rng.uniform(-20, side + 20, (2600, 2)):
        wide = apart * (1.0 + 0.9 * rng.random())
        if all(np.hypot(*(place - other)) >= wide for other in kept):
            kept.append(place)
    return np.array(kept)


def _one_stand(rng: np.random.Generator, dry: float, way_m: float) -> tuple[int, int, int]:
    chance = rng.random()
    if dry > 0.42:
        return (CONIFER, int(rng.integers(35, 90)), 0) if chance < 0.72 else (MIXED, int(rng.integers(45, 80)), 0)
    if dry > 0.05 and chance < 0.42:
        return HARDWOOD, int(rng.integers(55, 95)), 0
    if chance < 0.24:
        return MIXED, int(rng.integers(40, 85)), int(rng.random() < 0.4)
    if chance < 0.34:
        return CONIFER, int(rng.integers(40, 100)), 0
    if way_m < 900 and chance < 0.72:
        age = int(rng.choice(CUT_AGES))
        return (CLEARING if age <= 3 else YOUNG if age <= 20 else HARDWOOD), age, 1
    return HARDWOOD, int(rng.integers(30, 78)), int(rng.random() < 0.7)


def _distance_to_ways(ways: Ways, shape: tuple[int, int]) -> FloatArray:
    return ndimage.distance_transform_edt(~_near_way(ways, shape, "", 0)) * CELL_M


def _near_way(ways: Ways, shape: tuple[int, int], kind: str, cells: int) -> NDArray[np.bool_]:
    mask = np.zeros(shape, dtype=bool)
    for way in ways.ways:
        if kind in ("", way.kind):
            for (r0, c0), (r1, c1) in zip(way.places[:-1], way.places[1:], strict=True):
                for t in np.linspace(0, 1, 8):
                    mask[int(r0 + t * (r1 - r0)), int(c0 + t * (c1 - c0))] = True
    return ndimage.binary_dilation(mask, iterations=cells) if cells else mask


def _open_ground(rng: np.random.Generator, cover: IntArray, ways: Ways, dry: FloatArray) -> None:
    side = cover.shape[0]
    ragged = 3.0 * noise(rng, side, CELL_M, 60, 300)
    rows, cols = np.mgrid[0:side, 0:side]
    camp = ways.ways[1].places[-1]
    start = ways.ways[0].places[0]
    for (row, col), size, code in (
        (camp, 10, MEADOW),
        ((start[0] - 24, start[1] + 22), 24, HAY),
        ((start[0] - 60, start[1] - 26), 15, HAY),
        (ways.car_park, 3, VERGE),
    ):
        away = np.hypot(rows - row, (cols - col) * 0.8) + (ragged if size > 5 else 0)
        cover[(away > size) & (away <= size + 3) & (size > 5)] = SHRUB
        cover[away <= size] = code
    cover[(noise(rng, side, CELL_M, 70, 400) > 2.6) & (dry < 0.5)] = SHRUB


def _marsh(rng: np.random.Generator, relief: Relief, waters: Waters) -> NDArray[np.bool_]:
    """Wet ground too wet for shrubs: beside ponds, and in the middle of wide wet ground."""
    deep = ndimage.distance_transform_edt(waters.wet) > 6.5 + 1.5 * noise(rng, waters.wet.shape[0], CELL_M, 50, 200)
    return deep | (ndimage.distance_transform_edt(relief.ponds == 0) < 3)


def _canopy(rng: np.random.Generator, cover: IntArray, age: IntArray, stands: IntArray) -> NDArray[np.uint8]:
    usual = {HARDWOOD: 80, CONIFER: 72, MIXED: 78, SHRUB: 25, ALDER: 45, MARSH: 4, VERGE: 8, HAY: 1, MEADOW: 3}
    canopy = np.zeros(cover.shape)
    for code, share in usual.items():
        canopy[cover == code] = share
    young = np.isin(cover, (YOUNG, CLEARING))
    canopy[young] = np.interp(age[young], [0, 3, 6, 10, 20], [4, 12, 45, 75, 86])
    by_stand = rng.normal(0, 5, stands.max() + 1)[stands]
    rough = 4 * noise(rng, cover.shape[0], CELL_M, 25, 120)
    return np.where(canopy > 0, np.clip(canopy + by_stand + rough, 0, 100), 0).round().astype(np.uint8)
