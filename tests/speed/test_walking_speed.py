"""How fast the walk graph is built and searched, against a search of scipy in the same run."""

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import WalkGraph, build_graph
from hushwalk.walking.ground import Ground, build_ground
from hushwalk.walking.shortest_paths import reach_from
from hushwalk.walking.times import travel_times

MIDDLE = 250 * 500 + 250
GAIT = gait_named("irmischer_clarke_off_path")


def country(n: int) -> Ground:
    rng = np.random.default_rng(1)
    grid = Grid(32615, 500_000.0, 5_200_000.0, 10.0, n, n)
    rows, cols = np.indices(grid.shape)
    hills = 40 * np.sin(rows / 31) * np.cos(cols / 23) + 0.5 * rng.random(grid.shape)
    growth = np.where(rng.random((n // 10, n // 10)) < 0.3, 2.0, 1.0).repeat(10, axis=0).repeat(10, axis=1)
    return build_ground(Layer("elevation", "m", grid, hills), pace_factor=Layer("pace factor", "1", grid, growth))


@pytest.fixture(scope="module")
def five_kilometres() -> WalkGraph:
    return build_graph(country(500), GAIT)


def as_matrix(graph: WalkGraph) -> csr_array:
    """The moves of a graph without trails as scipy's own searches take them."""
    moves, n = len(graph.offsets), graph.n_cells
    start = np.repeat(np.arange(n), moves)
    seconds = graph.seconds.ravel().astype(float) * graph.grid_scale
    there = np.isfinite(seconds)
    end = start + np.tile(graph.offsets, n)
    return csr_array((seconds[there], (start[there], end[there])), shape=(n, n))


@pytest.mark.benchmark(group="all times from one place, five kilometres square")
def test_one_source(benchmark, five_kilometres: WalkGraph) -> None:
    reach = benchmark(reach_from, five_kilometres, MIDDLE)
    assert np.isfinite(reach.seconds).all()


@pytest.mark.benchmark(group="all times from one place, five kilometres square")
def test_one_source_by_scipy(benchmark, five_kilometres: WalkGraph) -> None:
    """The named reference: Dijkstra's search of scipy.sparse.csgraph on the same moves, with the same times."""
    matrix = as_matrix(five_kilometres)
    seconds = benchmark(dijkstra, matrix, indices=MIDDLE)
    ours = reach_from(five_kilometres, MIDDLE).seconds
    assert np.asarray(ours).ravel()[: five_kilometres.n_cells] == pytest.approx(seconds, rel=1e-6)


def test_build_five_kilometres(benchmark, five_kilometres: WalkGraph) -> None:
    graph = benchmark(build_graph, five_kilometres.ground, GAIT)
    assert np.array_equal(graph.seconds, five_kilometres.seconds)


def test_times_between_posts(benchmark, five_kilometres: WalkGraph) -> None:
    posts = five_kilometres.ground.grid.xy(*np.random.default_rng(2).integers(0, 500, (2, 20)))
    times = benchmark(travel_times, five_kilometres, posts)
    assert np.isfinite(times.day_s).all()
