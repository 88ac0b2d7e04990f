"""The walk graph against brute force: networkx searches it again, shapely looks at every move and line."""

import networkx as nx
import numpy as np
import pytest
import shapely
from networkx.algorithms.shortest_paths.dense import floyd_warshall_numpy
from scipy import ndimage

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.cost_field import field_of, fords_between, step_between
from hushwalk.walking.geometry import cell_units
from hushwalk.walking.graph import GraphParams, WalkGraph, build_graph, in_the_dark
from hushwalk.walking.ground import GroundParams, build_ground
from hushwalk.walking.near_legs import nearest, turned_round
from hushwalk.walking.shortest_paths import reach_from
from hushwalk.walking.times import KnownLegs, travel_times

NEAR = 3
PACES = ["irmischer_clarke_off_path", "tobler_on_path", "campbell_2019_p50", "naismith_langmuir"]


def wild(seed: int, n: int = 17, neighbours: int = 16, *, trails: bool = True) -> WalkGraph:
    """Made-up country with hills, thickets, a pond, a closed patch, a stream, a trail and a road."""
    rng = np.random.default_rng(seed)
    grid = Grid(32615, 1000.0, 9000.0, float(rng.choice([5.0, 10.0, 25.0])), n, n + 3)
    west, south, east, north = grid.bounds

    def line(k: int) -> shapely.LineString:
        return shapely.LineString(np.c_[rng.uniform(west, east, k), rng.uniform(south, north, k)])

    height = Layer("elevation", "m", grid, ndimage.gaussian_filter(rng.normal(size=grid.shape), 1.5) * grid.cell_m * 2)
    ground = build_ground(
        height,
        pace_factor=Layer("pace factor", "1", grid, rng.uniform(0.8, 3.0, grid.shape)),
        water=rng.random(grid.shape) < 0.12,
        closed=rng.random(grid.shape) < 0.05,
        streams=[line(4)],
        trails=[line(3), line(2)] if trails else [],
        roads=[line(2)] if trails else [],
        params=GroundParams(ford_s=70.0),
    )
    return build_graph(ground, gait_named(PACES[seed % len(PACES)]), GraphParams(neighbours=neighbours))


def as_digraph(graph: WalkGraph) -> "nx.DiGraph[int]":
    plain: nx.DiGraph[int] = nx.DiGraph()
    for cell in range(graph.n_cells):
        for k, offset in enumerate(graph.offsets):
            seconds = float(graph.seconds[cell, k]) * graph.grid_scale
            if np.isfinite(seconds) and graph.allowed[cell + offset]:
                plain.add_edge(cell, int(cell + offset), weight=seconds)
    for node in range(len(graph.link_start) - 1):
        for link in range(graph.link_start[node], graph.link_start[node + 1]):
            if graph.allowed[graph.link_to[link]]:
                plain.add_edge(node, int(graph.link_to[link]), weight=float(graph.link_seconds[link]))
    return plain


@pytest.mark.parametrize("seed", range(12))
def test_the_search_equals_networkx(seed: int) -> None:
    day = wild(seed, neighbours=[8, 16, 32][seed % 3])
    for graph in (day, in_the_dark(day, off_trail=True), in_the_dark(day, off_trail=False, trailside_m=20.0)):
        plain = as_digraph(graph)
        sources = [n for n in plain.nodes if graph.allowed[n]][::40]
        assert sources or not graph.allowed[: graph.n_cells].any()
        for source in sources:
            expected = np.full(len(graph.link_start) - 1, np.inf)
            said = nx.single_source_dijkstra_path_length(plain, source)
            expected[list(said)] = list(said.values())
            found = reach_from(graph, source).seconds
            assert np.array_equal(np.isfinite(found), np.isfinite(expected))
            assert found[np.isfinite(found)] == pytest.approx(expected[np.isfinite(found)], rel=1e-9)


@pytest.mark.parametrize("neighbours", [8, 16, 32])
def test_no_move_touches_a_barrier_not_even_its_corner(neighbours: int) -> None:
    graph = wild(3, neighbours=neighbours)
    grid = graph.ground.grid
    half = grid.cell_m / 2
    barriers = shapely.union_all(
        [shapely.box(x - half, y - half, x + half, y + half) for x, y in grid.xy(*np.nonzero(graph.ground.blocked))]
    )
    shapely.prepare(barriers)
    for cell in range(graph.n_cells):
        here = np.array(divmod(cell, grid.n_cols))
        if graph.ground.blocked[tuple(here)]:
            assert np.isinf(graph.seconds[cell]).all()
            continue
        for k, step in enumerate(graph.moves.steps):
            end = here + step
            inside = bool(np.all((end >= 0) & (end < grid.shape)))
            line = shapely.LineString(grid.xy([here[0], end[0]], [here[1], end[1]]))
            assert bool(np.isfinite(graph.seconds[cell, k])) == (inside and not barriers.intersects(line))


@pytest.mark.parametrize("neighbours", [8, 16, 32])
def test_every_move_is_measured_like_a_straight_step_of_a_line(neighbours: int) -> None:
    graph = wild(4, neighbours=neighbours)
    land = field_of(graph.ground, graph.pace, ~graph.ground.blocked)
    for cell, k in zip(*np.nonzero(np.isfinite(graph.seconds)), strict=True):
        a = np.array(divmod(int(cell), graph.ground.grid.n_cols), dtype=float)
        b = a + graph.moves.steps[k]
        seconds = step_between(a, b, land) + 70.0 * fords_between(a, b, land)
        assert seconds == pytest.approx(graph.seconds[cell, k], rel=1e-5)


def test_fords_are_those_that_shapely_sees() -> None:
    rng = np.random.default_rng(8)
    grid = Grid(32615, 0.0, 500.0, 10.0, 50, 50)
    stream = shapely.LineString(np.c_[np.linspace(-20, 520, 15), rng.uniform(50, 450, 15)])
    ground = build_ground(Layer("elevation", "m", grid, np.zeros(grid.shape)), streams=[stream])
    land = field_of(ground, build_graph(ground, gait_named("rees")).pace, ~ground.blocked)
    for _ in range(400):
        ends = rng.uniform(0, 500, (2, 2))
        shared = shapely.get_parts(shapely.intersection(shapely.LineString(ends), stream))
        met = [part for part in shared if part.geom_type == "Point"]
        along = np.sort([np.hypot(p.x - ends[0, 0], p.y - ends[0, 1]) for p in met])
        expected = 0 if len(along) == 0 else 1 + int(np.sum(np.diff(along) > 20.0))
        assert fords_between(*cell_units(grid, ends), land) == expected


@pytest.mark.parametrize("seed", range(8))
def test_a_smoothed_line_is_never_slower_and_never_enters_a_barrier(seed: int) -> None:
    graph = wild(seed, n=40)
    grid = graph.ground.grid
    rng = np.random.default_rng(seed)
    open_cells = np.argwhere(~graph.ground.blocked)
    posts = grid.xy(*rng.choice(open_cells, 8, replace=False).T)
    times = travel_times(graph, posts, off_trail_in_the_dark=bool(seed % 2))
    half = grid.cell_m / 2 - 1e-6
    trail = shapely.buffer(shapely.multilinestrings(graph.ground.trails.xy_m[graph.ground.trails.edges]), 0.1)
    barriers = shapely.union_all(
        [shapely.box(x - half, y - half, x + half, y + half) for x, y in grid.xy(*np.nonzero(graph.ground.blocked))]
    )
    drawn = 0
    for dark, table in ((False, times.day_s), (True, times.dark_s)):
        for i, j in np.argwhere(np.isfinite(table) & (table > 0)):
            line = times.path(int(i), int(j), dark=dark)
            off_trail = shapely.difference(shapely.LineString(line.line_m), trail)
            drawn += 1
            assert line.seconds <= table[i, j] + 1e-3
            assert shapely.intersection(off_trail, barriers).length < 1.0
            assert line.line_m[[0, -1]] == pytest.approx(posts[[i, j]])
            assert line.climb_m - line.descent_m == pytest.approx(rise(graph, posts[[i, j]]), abs=1e-6)
    assert drawn > 10


def rise(graph: WalkGraph, ends: np.ndarray) -> float:
    rows, cols = graph.ground.grid.rowcol(ends)
    first, last = graph.ground.elevation_m[rows, cols]
    return float(last - first)


@pytest.mark.parametrize("seed", range(4))
def test_times_keep_the_triangle(seed: int) -> None:
    graph = wild(seed, n=30)
    posts = graph.ground.grid.xy(*np.argwhere(~graph.ground.blocked)[::60].T)
    day_s = travel_times(graph, posts).day_s
    through = np.min(day_s[:, :, None] + day_s[None, :, :], axis=1)
    assert np.all(day_s <= through + 1e-6)


def posts_on(graph: WalkGraph, seed: int, count: int = 12) -> np.ndarray:
    """Middles of open cells, the first the car."""
    open_cells = np.flatnonzero(~graph.ground.blocked.ravel())
    cells = np.random.default_rng(seed).choice(open_cells, count, replace=False)
    return graph.node_xy(cells)


@pytest.mark.parametrize("seed", range(6))
def test_near_legs_are_exact_and_far_ones_lead_by_way_of_them(seed: int) -> None:
    """Networkx closes the table of near legs by itself."""
    graph = wild(seed, 25)
    posts, per_m = posts_on(graph, seed), np.random.default_rng(seed).random(graph.ground.grid.shape)
    limit_s = float(np.nanpercentile(_finite(travel_times(graph, posts).day_s), 90))
    whole = travel_times(graph, posts, limit_s=limit_s, per_m=per_m)
    near = travel_times(graph, posts, limit_s=limit_s, per_m=per_m, near=NEAR)
    exact = nearest(posts, NEAR)
    exact[:, 0] = True
    for name in ("day_s", "dark_s"):
        one, other = getattr(near, name), getattr(whole, name)
        np.testing.assert_allclose(one[exact], other[exact], rtol=1e-12)
        assert (one >= other * (1 - 1e-12)).all()
    steps = nx.DiGraph((a, b, {"weight": whole.day_s[a, b]}) for a, b in np.argwhere(exact & np.isfinite(whole.day_s)))
    steps.add_nodes_from(range(len(posts)))
    closed = np.asarray(floyd_warshall_numpy(steps, nodelist=range(len(posts))))
    np.testing.assert_allclose(near.day_s, np.where(closed <= limit_s, closed, np.inf), rtol=1e-9)
    assert near.along is not None
    assert whole.along is not None
    np.testing.assert_allclose(near.along[exact], whole.along[exact], rtol=1e-9)


def _finite(seconds: np.ndarray) -> np.ndarray:
    return np.where(np.isfinite(seconds), seconds, np.nan)


@pytest.mark.parametrize("seed", range(6))
def test_a_graph_turned_round_is_the_reverse_of_networkx(seed: int) -> None:
    graph = wild(seed, neighbours=(8, 16, 32)[seed % 3])
    turned = as_digraph(turned_round(graph))
    assert {(a, b, w) for a, b, w in turned.edges.data("weight")} == {
        (b, a, w) for a, b, w in as_digraph(graph).edges.data("weight")
    }


@pytest.mark.parametrize("trails", [True, False])
def test_times_in_the_dark_are_those_of_the_dark_graph(trails: bool) -> None:
    graph = wild(3, 25, trails=trails)
    posts = posts_on(graph, 3)
    found = travel_times(graph, posts, off_trail_in_the_dark=True)
    own = travel_times(in_the_dark(graph, off_trail=True), posts)
    np.testing.assert_allclose(found.dark_s, own.day_s, rtol=1e-12)


def test_legs_that_are_known_serve_every_limit() -> None:
    graph = wild(5, 25)
    posts, known, per_m = posts_on(graph, 5), KnownLegs(), np.ones(graph.ground.grid.shape)
    far_s = float(np.nanmax(_finite(travel_times(graph, posts).day_s)))
    for share in (0.4, 0.9, 0.2, 1.1):
        kept = travel_times(graph, posts, limit_s=share * far_s, per_m=per_m, known=known)
        new = travel_times(graph, posts, limit_s=share * far_s, per_m=per_m)
        assert np.array_equal(kept.day_s, new.day_s)
        assert np.array_equal(kept.dark_s, new.dark_s)
        assert np.array_equal(kept.along, new.along)
    assert np.isinf(travel_times(graph, posts, limit_s=0.4 * far_s).day_s).any()


def test_near_legs_take_all_that_are_known() -> None:
    graph = wild(7, 25)
    posts, known = posts_on(graph, 7), KnownLegs()
    whole = travel_times(graph, posts, known=known)
    assert np.array_equal(travel_times(graph, posts, known=known, near=NEAR).day_s, whole.day_s)
