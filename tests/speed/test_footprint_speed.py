"""Footprints of 200 stops x 800 m on a 10 m grid, against a plain loop over the same profiles and one bare reading.

Timed only with --benchmark-enable; otherwise a few stops are run once. What is asserted always: the plain loop says
the same, and is many times slower.
"""

import itertools
import math
import time
import tomllib
from importlib.resources import files

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape
from hushwalk.science.sound_foliage import foliage_db_per_m

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 500, 500)
CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
CALL, LISTENER = call_from_card(CARD), Listener()
STOPS, FEW_STOPS, SAMPLE = 200, 4, 150
REACH_M = 800.0


def country() -> AcousticGround:
    rows, cols = np.indices(GRID.shape)
    rng = np.random.default_rng(1)
    height = 300 + 25 * np.sin(cols / 17) + 20 * np.cos(rows / 23) + 15 * np.sin((rows + cols) / 9)
    cover = rng.choice([0.0, 0.25, 0.5, 1.0], GRID.shape)
    return AcousticGround(Layer("elevation", "m", GRID, height), Layer("foliage", "1", GRID, cover))


def plain_chance(soundscape: Soundscape, ear: np.ndarray, bird: np.ndarray) -> float:
    """One cell by numpy over its profile, as one would write it first."""
    elevation, cover = soundscape.ground.elevation.values, soundscape.ground.foliage.values
    far = float(np.hypot(*(bird - ear))) * 10
    n = max(math.ceil(far / 10 - 1e-9), 1)
    share = np.linspace(0, 1, n + 1)
    row, col = ear[0] + share * (bird[0] - ear[0]), ear[1] + share * (bird[1] - ear[1])
    r, c = np.minimum(row.astype(int), 498), np.minimum(col.astype(int), 498)
    a, b = row - r, col - c
    upper = elevation[r, c] * (1 - b) + elevation[r, c + 1] * b
    height = upper * (1 - a) + (elevation[r + 1, c] * (1 - b) + elevation[r + 1, c + 1] * b) * a
    half = (np.arange(n) + 0.5) / n
    cells = np.rint(ear + half[:, np.newaxis] * (bird - ear)).astype(int)
    crossed = np.sort(cover[cells[:, 0], cells[:, 1]])[::-1]
    dense = float(np.sum(crossed * np.diff(np.minimum(np.arange(n + 1) * far / n, 200.0))))
    dense = dense if np.count_nonzero(crossed) * far / n >= 20 else 0.0
    losses = soundscape.level.open_losses(np.array([far]))
    taken = (losses.but_ground + losses.ground)[:, 0] + dense * foliage_db_per_m(CALL.bands)
    taken += plain_terrain(share * far, height, losses.ground[:, 0])
    margin = np.max(CALL.levels - taken - soundscape.level.needed_db())
    return 0.5 * math.erfc(-margin / 6 / math.sqrt(2))


def plain_terrain(place: np.ndarray, height: np.ndarray, soil_db: np.ndarray) -> np.ndarray:
    """Loss behind the hills of one profile, by band, in numpy and plain Python."""
    last = len(place) - 1
    if last < 2:
        return np.zeros(len(soil_db))
    share = place / place[-1]
    rise = height - height[0] - share * (height[-1] - height[0])
    above = LISTENER.ear_height_m + share * (CALL.height_m - LISTENER.ear_height_m)
    weights = (rise / (above + 2))[1:-1]
    weight, best = min(max(float(weights.max()), 0.0), 1.0), int(weights.argmax()) + 1
    tops = height.copy()
    tops[0] += LISTENER.ear_height_m
    tops[-1] += CALL.height_m
    points = list(zip(place.tolist(), tops.tolist(), strict=True))
    direct = math.dist(points[0], points[-1])
    if not np.any((rise - above)[1:-1] > 0):
        legs = math.dist(points[0], points[best]), 0.0, math.dist(points[best], points[-1])
        return weight * plain_edges(direct - legs[0] - legs[2], legs, direct, 0.0, soil_db) if weight else 0 * soil_db
    hull: list[int] = []
    for i, (x, y) in enumerate(points):
        while len(hull) > 1:
            (ax, ay), (bx, by) = points[hull[-2]], points[hull[-1]]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0:
                break
            hull.pop()
        hull.append(i)
    inner = hull[1:-1]
    top = max(inner, key=lambda i: math.dist(points[0], points[i]) + math.dist(points[i], points[-1]))

    def over(i: int) -> float:
        left, right = (points[0], points[top]) if i < top else (points[top], points[-1])
        return points[i][1] - left[1] - (right[1] - left[1]) * (points[i][0] - left[0]) / (right[0] - left[0])

    other = max((i for i in inner if i != top), key=over, default=top)
    cut = sorted([hull.index(top), hull.index(other)])
    steps = [math.dist(points[i], points[j]) for i, j in itertools.pairwise(hull)]
    legs = sum(steps[: cut[0]]), sum(steps[cut[0] : cut[1]]), sum(steps[cut[1] :])
    second = min(over(other) / 2, 1.0) if other != top else 0.0
    assert last == hull[-1]
    return weight * plain_edges(sum(legs) - direct, legs, direct, second, soil_db, weight)


def plain_edges(
    z: float, legs: tuple[float, ...], direct: float, second: float, soil_db: np.ndarray, weight: float = 1.0
) -> np.ndarray:
    """ISO 9613-2 7.4 for all bands, less what the ground takes already."""
    wave = 340 / CALL.bands
    c3 = np.ones(len(wave))
    if legs[1] > 0:
        ratio = (5 * wave / legs[1]) ** 2
        c3 += ((1 + ratio) / (1 / 3 + ratio) - 1) * second
    kmet = math.exp(-math.sqrt(legs[0] * legs[2] * direct / (2 * z)) / 2000) if z > 0 else 1.0
    loss = np.minimum(10 * np.log10(np.maximum(3 + 20 / wave * c3 * z * kmet, 1)), 20 + 5 * second)
    return np.maximum(weight * loss - np.maximum(soil_db, 0), 0) / weight


def test_two_hundred_footprints(benchmark: BenchmarkFixture) -> None:
    ground = country()
    count = STOPS if benchmark.enabled else FEW_STOPS
    stops = np.random.default_rng(2).uniform([500_900, 5_195_900], [504_100, 5_199_100], (count, 2))
    how = FootprintParams(reach_m=REACH_M, target_cell_m=10.0, threads=2)
    soundscape = Soundscape(ground, CALM, CALL, LISTENER, how)
    soundscape.coverage(stops[:1])  # compile before the clock runs

    started = time.perf_counter()
    found = benchmark.pedantic(soundscape.coverage, (stops,), rounds=1, iterations=1)
    seconds = time.perf_counter() - started
    cells = round(count * math.pi * (REACH_M / 10) ** 2)
    started = time.perf_counter()
    total = sum(float(ground.elevation.values[r - 80 : r + 80, c - 80 : c + 80].sum()) for r, c in zip(
        *GRID.rowcol(stops), strict=True
    ))  # fmt: skip
    reading = time.perf_counter() - started
    benchmark.extra_info |= {
        "cells_per_s": round(cells / seconds),
        "stops": count,
        "times_one_bare_reading": round(seconds / reading),
    }
    assert total > 0
    assert found.chance.nnz > 0.3 * cells
    if benchmark.enabled:
        assert seconds < 10


def test_a_plain_loop_says_the_same_and_is_fifty_times_slower(benchmark: BenchmarkFixture) -> None:
    soundscape = Soundscape(country(), CALM, CALL, LISTENER, FootprintParams(reach_m=REACH_M, chance_floor=0.0))
    stop = np.array([502_203.0, 5_197_104.0])
    rng = np.random.default_rng(3)
    way, far = rng.uniform(0, 2 * np.pi, 20_000), REACH_M * np.sqrt(rng.uniform(0.0003, 1, 20_000))
    targets = stop + far[:, np.newaxis] * np.stack([np.sin(way), np.cos(way)], axis=-1)
    soundscape.chances(stop, targets)
    started = time.perf_counter()
    quick = benchmark.pedantic(soundscape.chances, (stop, targets), rounds=1, iterations=1)
    quick_s = (time.perf_counter() - started) / len(targets)

    def place(xy: np.ndarray) -> np.ndarray:
        return np.array([(GRID.north_m - xy[1]) / 10 - 0.5, (xy[0] - GRID.west_m) / 10 - 0.5])

    started = time.perf_counter()
    plain = [plain_chance(soundscape, place(stop), place(t)) for t in targets[:SAMPLE]]
    plain_s = (time.perf_counter() - started) / SAMPLE
    benchmark.extra_info |= {"plain_over_quick": round(plain_s / quick_s)}
    assert quick[:SAMPLE] == pytest.approx(plain, abs=2e-3)
    assert plain_s / quick_s >= 50
