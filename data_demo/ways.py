"""The invented ways: a gravel road to a car park, a two-track onwards and trails, each on the gentlest ground.

Ground and waters are made before.
"""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from relief import CELL_M, FloatArray, Relief, noise
from waters import Waters

STEPS = ((0, 1), (1, 0), (1, 1), (1, -1))


@dataclass(frozen=True, eq=False)
class Way:
    """A named way as places in cells, shape (k, 2): row and column, not whole."""

    kind: str
    name: str
    places: FloatArray


@dataclass(frozen=True, eq=False)
class Ways:
    """Road, two-track and trails, the car park as row and column, and the closed parcel as a ring of places."""

    ways: tuple[Way, ...]
    car_park: tuple[int, int]
    parcel: FloatArray


def make_ways(rng: np.random.Generator, relief: Relief, waters: Waters) -> Ways:
    """Lay the ways out: the road comes from the south to the middle, the two-track leaves to the north."""
    side = relief.height_m.shape[0]
    ease = _ease(relief, waters)
    car = _gentle(ease, (0.50, 0.52), 22)
    parcel = _parcel((0.655 * side, 0.285 * side), (30, 36), 0.14)
    rough = np.exp(0.5 * noise(rng, side, CELL_M, 40, 250))  # stones, trees and the whims of those who went first
    cost = np.where(inside(parcel, relief.height_m.shape), np.inf, rough / ease)
    camp = _gentle(ease, (0.22, 0.40), 14)
    plan = [
        ("gravel road", "Sawdust Road", _gentle(ease, (0.999, 0.40), 14), car),
        ("two-track", "Old Camp two-track", car, camp),
        ("two-track", "Old Camp two-track", camp, _gentle(ease, (0.06, 0.58), 14)),
        ("trail", "Lantern Trail", car, _gentle(ease, (0.38, 0.82), 14)),
        ("trail", "Lantern Trail", _gentle(ease, (0.38, 0.82), 14), (0.20, 0.45)),
        ("trail", "West Ridge Trail", (0.38, 0.44), _gentle(ease, (0.46, 0.16), 14)),
        ("trail", "West Ridge Trail", _gentle(ease, (0.46, 0.16), 14), (0.62, 0.50)),
        ("trail", "Thimble Trail", (0.60, 0.53), _gentle(ease, (0.74, 0.76), 14)),
    ]
    ways: list[Way] = []
    laid = np.zeros(cost.shape, dtype=bool)
    for kind, name, start, end in plan:
        a, b = (_on_a_way(laid, p) if isinstance(p[0], float) else p for p in (start, end))
        again = 3.0 if isinstance(end[0], float) else 0.4  # a way back seeks new ground, a way out uses the old
        near = ndimage.binary_dilation(laid, iterations=15) if again > 1 else laid
        path = _cheapest(np.where(near, again * cost, cost), relief.height_m, a, b)
        ways += [Way(kind, name, _smooth(part)) for part in _new_parts(path, laid)]
        laid[path[:, 0], path[:, 1]] = True
    return Ways(tuple(ways), car, parcel)


def _on_a_way(laid: NDArray[np.bool_], share: tuple[float, float]) -> tuple[int, int]:
    """Find the cell of a way that is nearest to a place, given in shares of the side from north and west."""
    cells = np.argwhere(laid)
    row, col = cells[np.hypot(*(cells - np.array(share) * laid.shape[0]).T).argmin()]
    return int(row), int(col)


def _new_parts(path: NDArray[np.int64], laid: NDArray[np.bool_]) -> list[NDArray[np.int64]]:
    """Cut out what runs on ways laid before; each part still touches them."""
    fresh = ~laid[path[:, 0], path[:, 1]]
    marks, count = ndimage.label(fresh)
    spans = [np.flatnonzero(marks == n) for n in range(1, count + 1)]
    return [path[max(s[0] - 1, 0) : s[-1] + 2] for s in spans if len(s) >= 8]


def _ease(relief: Relief, waters: Waters) -> FloatArray:
    """How readily a way is laid through a cell: 1 on firm ground, small in the wet, nothing in a pond."""
    near_water = ndimage.binary_dilation(waters.channel, iterations=3)
    ease = np.where(waters.wet, 0.12, np.where(near_water, 0.45, 1.0))
    ease = np.where(waters.channel, 0.06, ease)
    return np.where(relief.ponds > 0, 1e-9, ease)


def _gentle(ease: FloatArray, share: tuple[float, float], reach: int) -> tuple[int, int]:
    """Find the firmest cell near a place, given in shares of the side from north and west."""
    side = ease.shape[0]
    row, col = min(int(share[0] * side), side - 1), min(int(share[1] * side), side - 1)
    firm = ndimage.uniform_filter(ease, 7)
    rows, cols = np.mgrid[0:side, 0:side]
    away = np.hypot(rows - row, cols - col)
    near = (away <= reach) & ((rows == row) | (row not in {0, side - 1}))
    best = np.argmax(np.where(near, firm - 0.01 * away, -1))
    return int(best // side), int(best % side)


def _cheapest(cost: FloatArray, height: FloatArray, start: tuple[int, int], end: tuple[int, int]) -> NDArray[np.int64]:
    side = height.shape[1]
    found = dijkstra(_links(cost, height), indices=start[0] * side + start[1], return_predecessors=True)[1]
    path = [end[0] * side + end[1]]
    while found[path[-1]] >= 0:
        path.append(found[path[-1]])
    return np.stack(np.divmod(np.array(path[::-1], dtype=np.int64), side), axis=-1)


def _links(cost: FloatArray, height: FloatArray) -> csr_array:
    side = height.shape[1]
    numbers = np.arange(height.size).reshape(height.shape)
    starts, ends, values = [], [], []
    for dr, dc in STEPS:
        a = (slice(0, height.shape[0] - dr), slice(max(0, -dc), side - max(0, dc)))
        b = (slice(dr, None), slice(max(0, dc), side - max(0, -dc)))
        length = CELL_M * np.hypot(dr, dc)
        grade = (height[b] - height[a]) / length
        price = length * (1 + (grade / 0.05) ** 2) * (cost[a] + cost[b]) / 2
        good = np.isfinite(price)
        starts.append(numbers[a][good])
        ends.append(numbers[b][good])
        values.append(price[good])
    rows, cols, data = (np.concatenate(part) for part in (starts, ends, values))
    both = (np.concatenate([data, data]), (np.concatenate([rows, cols]), np.concatenate([cols, rows])))
    return coo_array(both, shape=(height.size, height.size)).tocsr()


def _smooth(path: NDArray[np.int64]) -> FloatArray:
    """Round the corners of a path of cells; its ends stay."""
    places = path.astype(float)
    for _ in range(3):
        places[1:-1] = (places[:-2] + 2 * places[1:-1] + places[2:]) / 4
    kept = np.unique(np.append(np.arange(0, len(places), 2), len(places) - 1))
    return places[kept]


def _parcel(middle: tuple[float, float], half: tuple[float, float], turn: float) -> FloatArray:
    corners = np.array([(-1, -1), (-1, 1), (0.2, 1), (0.2, 0.45), (1, 0.45), (1, -1), (-1, -1)]) * half
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return corners @ spin.T + middle


def inside(ring: FloatArray, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Cells whose middle lies in a ring of places (rows, columns)."""
    rows, cols = np.mgrid[0 : shape[0], 0 : shape[1]] + 0.5
    within = np.zeros(shape, dtype=bool)
    for (r0, c0), (r1, c1) in itertools.pairwise(ring):
        if r0 != r1:
            crossing = (rows < max(r0, r1)) & (rows >= min(r0, r1)) & (cols < c0 + (rows - r0) * (c1 - c0) / (r1 - r0))
            within ^= crossing
    return within
