"""The invented waters: streams as lines that run downhill, ponds and wetlands as areas, height above the drainage.

The ground they run on is relief.py's business.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from relief import CELL_M, Drainage, FloatArray, Relief

BROOK_M2 = 2.5e5  # a brook begins where a quarter of a square kilometre drains
CREEK_M2 = 4.0e6


@dataclass(frozen=True, eq=False)
class Stream:
    """A reach from head or junction to junction or edge, downstream, as rows and columns."""

    kind: str
    cells: NDArray[np.int64]  # shape (k, 2)
    area_m2: float


@dataclass(frozen=True, eq=False)
class Waters:
    """Reaches, and by cell: channel, height above and distance to it [m], wet ground."""

    streams: tuple[Stream, ...]
    channel: NDArray[np.bool_]
    above_m: FloatArray
    distance_m: FloatArray
    wet: NDArray[np.bool_]


def make_waters(relief: Relief, slope_deg: FloatArray) -> Waters:
    """Draw the waters of the ground."""
    shape = relief.height_m.shape
    area = relief.drainage.area_m2.reshape(shape)
    channel = area >= BROOK_M2
    pond = relief.ponds > 0
    water = channel | pond
    above = _height_above(relief, water)
    distance = ndimage.distance_transform_edt(~water) * CELL_M
    flat = ndimage.uniform_filter(slope_deg, 5) < 1.9
    floor = flat & (above < 1.4) & (distance < 150)
    hollow = relief.peat & flat
    wet = ndimage.binary_opening(ndimage.binary_closing((floor | hollow) & ~pond, iterations=2), iterations=2) & ~pond
    return Waters(_reaches(relief.drainage, shape, pond), channel, above, distance, _large(wet, 40))


def _large(mask: NDArray[np.bool_], least_cells: int) -> NDArray[np.bool_]:
    marks, count = ndimage.label(mask)
    cells = ndimage.sum_labels(np.ones(mask.shape), marks, np.arange(count + 1))
    return (cells >= least_cells)[marks] & mask


def _height_above(relief: Relief, water: NDArray[np.bool_]) -> FloatArray:
    """Height of each cell above the water that it drains into [m]."""
    z, wet = relief.height_m.ravel(), water.ravel()
    base = z.copy()
    for k in relief.drainage.order:
        if not wet[k]:
            base[k] = base[relief.drainage.receiver[k]]
    return (z - base).reshape(water.shape)


def _reaches(drainage: Drainage, shape: tuple[int, int], pond: NDArray[np.bool_]) -> tuple[Stream, ...]:
    area = drainage.area_m2
    kinds = np.where(area >= CREEK_M2, 2, np.where(area >= BROOK_M2, 1, 0))
    kinds = np.where((kinds > 0) & pond.ravel(), 3, kinds)
    feeders = np.zeros(area.size, np.int64)
    for k in np.flatnonzero(kinds):
        j = drainage.receiver[k]
        if j != k:
            feeders[j] += 1
    reaches = []
    for start in np.flatnonzero(kinds):
        j = drainage.receiver[start]
        above = [k for k in _neighbours(start, shape) if kinds[k] and drainage.receiver[k] == start and k != start]
        if len(above) == 1 and kinds[above[0]] == kinds[start]:
            continue
        path = [start]
        while j != path[-1]:
            path.append(j)
            if feeders[j] > 1 or kinds[j] != kinds[start]:
                break
            j = drainage.receiver[j]
        if len(path) > 1:
            cells = np.stack(np.divmod(np.array(path), shape[1]), axis=-1)
            reaches.append(Stream(("", "brook", "creek", "artificialpath")[kinds[start]], cells, float(area[path[-1]])))
    return tuple(reaches)


def _neighbours(k: int, shape: tuple[int, int]) -> list[int]:
    r, c = divmod(int(k), shape[1])
    return [
        rr * shape[1] + cc
        for rr in range(max(r - 1, 0), min(r + 2, shape[0]))
        for cc in range(max(c - 1, 0), min(c + 2, shape[1]))
        if (rr, cc) != (r, c)
    ]
