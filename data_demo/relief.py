"""The invented ground: hills, valleys that running water has cut, hollows that hold ponds, and how it all drains.

Streams as lines are waters.py's business.
"""

import heapq
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.types import FloatArray, IntArray

CELL_M = 10.0
SIDE = 600  # cells of the ground that is made
MARGIN = 20  # cells cut off on each side, so that no edge of the making is seen
COARSE = 4  # the valleys are cut on cells of 40 m first
BASE_M = 402.0


@dataclass(frozen=True, eq=False)
class Drainage:
    """Where each cell drains to.

    ``order`` holds all cells, downstream before upstream; ``receiver`` the cell that each one drains into (itself where
    the water leaves); ``area_m2`` what drains through it.
    """

    order: IntArray
    receiver: IntArray
    area_m2: FloatArray


@dataclass(frozen=True, eq=False)
class Relief:
    """Heights [m] with ponds level, the ponds by number (0 = none), peat that filled hollows, and the drainage."""

    height_m: FloatArray
    ponds: IntArray
    peat: NDArray[np.bool_]
    drainage: Drainage


def noise(rng: np.random.Generator, side: int, cell_m: float, short_m: float, long_m: float) -> FloatArray:
    """Smooth random field of mean 0 and spread 1, with waves between two lengths."""
    wave = np.hypot(*np.meshgrid(np.fft.fftfreq(side, cell_m), np.fft.rfftfreq(side, cell_m), indexing="ij"))
    band = (
        np.exp(-((wave * short_m) ** 2)) * (1 - np.exp(-((wave * long_m) ** 2))) / np.maximum(wave, 1 / (side * cell_m))
    )
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal((side, side))) * band, (side, side))
    return np.round((field - field.mean()) / field.std(), 6)  # so that no processor's last digit matters


@njit(cache=True)
def _flood(height: FloatArray, way_out: NDArray[np.bool_], rise: float) -> tuple[FloatArray, IntArray, IntArray]:
    """Raise every hollow to its spill, rising by ``rise`` a cell inwards; give levels, order and parents."""
    n_rows, n_cols = height.shape
    level = height.copy().ravel()
    parent = np.full(level.size, -1, np.int64)
    order = np.empty(level.size, np.int64)
    heap = [(0.0, np.int64(0), np.int64(0)) for _ in range(0)]
    seen = np.zeros(level.size, np.bool_)
    tick = np.int64(0)
    for k in range(level.size):
        if way_out.ravel()[k]:
            heapq.heappush(heap, (level[k], tick, np.int64(k)))
            seen[k] = True
            parent[k] = k
            tick += 1
    count = 0
    while heap:
        z, _, k = heapq.heappop(heap)
        order[count] = k
        count += 1
        r, c = k // n_cols, k % n_cols
        for dr in range(-1, 2):
            for dc in range(-1, 2):
                rr, cc = r + dr, c + dc
                if 0 <= rr < n_rows and 0 <= cc < n_cols:
                    j = rr * n_cols + cc
                    if not seen[j]:
                        seen[j] = True
                        parent[j] = k
                        level[j] = max(level[j], z + rise)
                        heapq.heappush(heap, (level[j], tick, np.int64(j)))
                        tick += 1
    return level.reshape(height.shape), order, parent


@njit(cache=True)
def _steepest(height: FloatArray, parent: IntArray) -> IntArray:
    """Steepest way down of each cell; on level ground, and where the water leaves, the parent of the flood."""
    n_rows, n_cols = height.shape
    receiver = parent.copy()
    for r in range(n_rows):
        for c in range(n_cols):
            k = r * n_cols + c
            best = 0.0
            if parent[k] == k:
                continue
            for dr in range(-1, 2):
                for dc in range(-1, 2):
                    rr, cc = r + dr, c + dc
                    if (dr != 0 or dc != 0) and 0 <= rr < n_rows and 0 <= cc < n_cols:
                        drop = (height[r, c] - height[rr, cc]) / (1.4142135623730951 if dr != 0 and dc != 0 else 1.0)
                        if drop > best:
                            best = drop
                            receiver[k] = rr * n_cols + cc
    return receiver


@njit(cache=True)
def _gather(order: IntArray, receiver: IntArray, cell_area: float) -> FloatArray:
    area = np.full(order.size, cell_area)
    for k in order[::-1]:
        if receiver[k] != k:
            area[receiver[k]] += area[k]
    return area


@njit(cache=True)
def _cut(
    height: FloatArray,
    order: IntArray,
    receiver: IntArray,
    area: FloatArray,
    strength: float,
    uplift: float,
    cell: float,
) -> FloatArray:
    """One step of stream power, dz/dt = uplift - k A^0.45 S, solved from the outlet upwards."""
    z = height.copy().ravel()
    n_cols = height.shape[1]
    for k in order:
        j = receiver[k]
        if j == k:
            continue
        diagonal = (k // n_cols != j // n_cols) and (k % n_cols != j % n_cols)
        f = strength * area[k] ** 0.45 / (cell * 1.4142135623730951 if diagonal else cell)
        lower = (z[k] + uplift + f * z[j]) / (1 + f)
        z[k] = max(lower, z[j]) if z[k] >= z[j] else z[k]
    return z.reshape(height.shape)


@njit(cache=True)
def _rise_from_outlet(height: FloatArray, order: IntArray, receiver: IntArray, level: NDArray[np.bool_]) -> FloatArray:
    """Lift cells that lie below what they drain into, by a centimetre; ponds stay level."""
    z = height.copy().ravel()
    for k in order:
        j = receiver[k]
        if j != k:
            least = z[j] + (0.0 if level.ravel()[k] and level.ravel()[j] else 0.01)
            z[k] = max(z[k], least)
    return z.reshape(height.shape)


def drain(height_m: FloatArray, cell_m: float, way_out: NDArray[np.bool_]) -> Drainage:
    """Drainage of ground that has no hollows (a flood finds the way over level ground)."""
    _, order, parent = _flood(height_m, way_out, 0.0)
    receiver = _steepest(height_m, parent)
    return Drainage(order, receiver, _gather(order, receiver, cell_m**2))


def edges(shape: tuple[int, int]) -> NDArray[np.bool_]:
    """All cells on the edge."""
    rim = np.ones(shape, dtype=bool)
    rim[1:-1, 1:-1] = False
    return rim


def make_relief(rng: np.random.Generator) -> Relief:
    """Make the ground: low hills, cut by water that leaves in the south, roughened by ice, drained again."""
    ground = _cut_valleys(rng)
    rough = noise(rng, SIDE, CELL_M, 90, 420)
    upland = np.clip((ground - ndimage.minimum_filter(ground, 41)) / 12, 0.15, 1)
    height = ground + 2.3 * rough * upland + 0.25 * noise(rng, SIDE, CELL_M, 25, 80) * upland
    inner = slice(MARGIN, SIDE - MARGIN)
    height = height[inner, inner]
    spill, _, _ = _flood(height, edges(height.shape), 0.0)
    ponds = _choose_ponds(spill - height)
    level, _order, _parent = _flood(np.where(ponds > 0, spill, height), edges(height.shape), 0.012)
    peat = (level - height > 0.15) & (ponds == 0)
    for number in range(1, ponds.max() + 1):
        level[ponds == number] = level[ponds == number].min()
    level = ndimage.gaussian_filter(level, 0.8) * (ponds == 0) + level * (ponds > 0)
    return _incise(level, ponds, peat)


def _cut_valleys(rng: np.random.Generator) -> FloatArray:
    side = SIDE // COARSE
    cell = CELL_M * COARSE
    south = np.arange(side)[::-1, None] / side
    across = np.arange(side)[None, :] / side
    axis = 0.47 + 0.10 * np.sin(5.2 * south + 0.6) + 0.03 * np.sin(13 * south)
    valley = np.round(1 - np.exp(-(((across - axis) / 0.23) ** 2)), 9)
    height = 30 * south + 26 * valley + 7 * noise(rng, side, cell, 250, 1800) + 1.0 * noise(rng, side, cell, 80, 300)
    way_out = np.zeros((side, side), dtype=bool)
    way_out[-1, np.abs(across[0] - axis[-1, 0]) < 0.02] = True
    height[way_out] = height.min() - 2
    for step in range(130):
        level, order, parent = _flood(height, way_out, 1e-4)
        receiver = _steepest(level, parent)
        area = _gather(order, receiver, cell**2)
        height = _cut(level, order, receiver, area, 0.034 if step < 100 else 0.014, 0.17, cell)
        height = np.round(height + 0.06 * ndimage.laplace(height, mode="nearest") * (~way_out), 7)
    fine = ndimage.zoom(height, COARSE, order=3, mode="nearest", grid_mode=True)
    return BASE_M + _spread_floors(ndimage.gaussian_filter(fine, 2.5))


def _spread_floors(height: FloatArray) -> FloatArray:
    """Fill the feet of the slopes, so that larger streams wind over flat floors."""
    level, _, _ = _flood(height, edges(height.shape), 1e-3)
    drainage = drain(level, CELL_M, edges(height.shape))
    area = drainage.area_m2.reshape(height.shape)
    stream = area >= 4e5
    z, base = level.ravel(), level.ravel().copy()
    for k in drainage.order:
        if not stream.ravel()[k]:
            base[k] = base[drainage.receiver[k]]
    size = np.where(stream, np.clip(np.log10(np.maximum(area, 1) / 4e5), 0.15, 1.6), 0.0)
    weight = ndimage.gaussian_filter(stream.astype(float), 14)
    fill_m = 3.4 * ndimage.gaussian_filter(size, 14) / np.maximum(weight, 1e-3) * np.clip(weight / 0.02, 0, 1)
    above = np.maximum(z - base, 0).reshape(height.shape)
    lowered = ndimage.gaussian_filter(above - above**2 / (above + np.maximum(fill_m, 1e-6)), 3)
    return level - lowered


def _choose_ponds(depth_m: FloatArray) -> IntArray:
    """Number hollows that are deep and wide enough to hold open water, the largest first, at most seven."""
    marks, count = ndimage.label(depth_m > 0.25, structure=np.ones((3, 3)))
    if count == 0:
        return np.zeros(depth_m.shape, np.int64)
    numbers = np.arange(1, count + 1)
    cells = ndimage.sum_labels(np.ones_like(depth_m), marks, numbers)
    deepest = ndimage.maximum(depth_m, marks, numbers)
    at_edge = np.unique(marks[edges(depth_m.shape)])
    good = (deepest > 1.3) & (cells >= 60) & (cells <= 1200) & ~np.isin(numbers, at_edge)
    chosen = sorted(numbers[good], key=lambda n: -cells[n - 1])[:7]
    ponds = np.zeros(depth_m.shape, np.int64)
    for number, mark in enumerate(chosen, start=1):
        ponds[ndimage.binary_fill_holes(marks == mark)] = number  # specks of land in a pond are drowned
    return ponds


def _incise(level: FloatArray, ponds: IntArray, peat: NDArray[np.bool_]) -> Relief:
    rim = edges(level.shape)
    water = ponds > 0
    filled, _, _ = _flood(level, rim, 0.01)
    filled = np.where(water, level, filled)
    first = drain(_flood(filled, rim, 0.0)[0], CELL_M, rim)
    area = first.area_m2.reshape(level.shape)
    bed = np.where((area >= 2.5e5) & ~water, 0.35 + 0.35 * np.log10(np.maximum(area, 2.5e5) / 2.5e5), 0.0)
    height = _rise_from_outlet(filled - bed, first.order, first.receiver, water)
    height = np.round(height, 2)
    for _ in range(4):  # a pond that is raised to one level may dam what flows into it, and so on upstream
        for number in range(1, ponds.max() + 1):
            height[ponds == number] = height[ponds == number].max()
        height = np.round(_flood(height, rim, 0.0)[0], 2)
    return Relief(height, ponds, peat, drain(height, CELL_M, rim))
