import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import WalkGraph, build_graph
from hushwalk.walking.ground import GroundParams, build_ground
from hushwalk.walking.lines import WalkLine
from hushwalk.walking.times import travel_times

GRID = Grid(32615, 0.0, 600.0, 10.0, 60, 60)


def graph(z: np.ndarray | None = None, **given: object) -> WalkGraph:
    heights = np.zeros(GRID.shape) if z is None else z
    ground = build_ground(Layer("elevation", "m", GRID, heights), **given)  # type: ignore[arg-type]
    return build_graph(ground, gait_named("irmischer_clarke_off_path"))


def walk(laid: WalkGraph, a: tuple[float, float], b: tuple[float, float]) -> WalkLine:
    return travel_times(laid, np.array([a, b])).path(0, 1)


def test_on_the_flat_the_line_is_straight_and_the_zigzag_is_gone() -> None:
    line = walk(graph(), (52.0, 47.0), (533.0, 381.0))
    straight_m = float(np.hypot(481.0, 334.0))
    assert line.line_m == pytest.approx(np.array([[52.0, 47.0], [533.0, 381.0]]))
    assert line.length_m == pytest.approx(straight_m)
    assert line.seconds == pytest.approx(straight_m / 0.7785, rel=1e-3)
    assert line.seconds <= line.graph_seconds
    assert line.on_trail_share == 0.0


def test_a_line_round_a_lake_hugs_it_and_never_gets_wet() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[20:40, 20:40] = True
    line = walk(graph(water=water), (105.0, 305.0), (505.0, 295.0))
    lake = shapely.box(200.0, 200.0, 400.0, 400.0)
    assert not shapely.LineString(line.line_m).intersects(lake)
    assert line.length_m < 1.05 * (np.hypot(95, 100) * 2 + 210)


def test_a_trail_is_followed_vertex_by_vertex() -> None:
    bent = shapely.LineString([(55.0, 55.0), (55.0, 305.0), (305.0, 305.0), (305.0, 555.0)])
    line = walk(graph(trails=[bent]), (55.0, 55.0), (305.0, 555.0))
    assert shapely.hausdorff_distance(shapely.LineString(line.line_m), bent) > 50  # the woods cut the corners here
    quick = build_graph(graph(trails=[bent]).ground, gait_named("campbell_2019_p50"))
    assert walk(quick, (55.0, 55.0), (55.0, 305.0)).on_trail_share == pytest.approx(1.0)


def test_a_line_beside_thickets_stays_on_the_trail() -> None:
    factor = Layer("pace factor", "1", GRID, np.full(GRID.shape, 4.0))
    bent = shapely.LineString([(55.0, 55.0), (55.0, 305.0), (305.0, 305.0), (305.0, 555.0)])
    line = walk(graph(trails=[bent], pace_factor=factor), (55.0, 55.0), (305.0, 555.0))
    assert shapely.hausdorff_distance(shapely.LineString(line.line_m), bent) < 0.1
    assert line.on_trail_share == pytest.approx(1.0)
    assert line.seconds == pytest.approx(750 / 1.0962, rel=1e-3)


def test_climb_and_descent_of_a_ridge() -> None:
    away_m = np.abs(np.indices(GRID.shape)[1] - 30) * 10.0
    line = walk(graph(50.0 - 0.1 * away_m), (105.0, 305.0), (505.0, 305.0))
    assert line.climb_m == pytest.approx(20.0, abs=0.1)
    assert line.descent_m == pytest.approx(20.0, abs=0.1)


def test_a_stream_is_waded_off_the_trail_and_bridged_on_it_and_both_are_told() -> None:
    stream = shapely.LineString([(300.0, 0.0), (300.0, 600.0)])
    waded = walk(graph(streams=[stream], params=GroundParams(ford_s=40.0)), (105.0, 305.0), (505.0, 305.0))
    trail = shapely.LineString([(105.0, 305.0), (505.0, 305.0)])
    bridged = walk(graph(streams=[stream], trails=[trail]), (105.0, 305.0), (505.0, 305.0))
    assert (waded.fords, waded.bridges) == (1, 0)
    assert (bridged.fords, bridged.bridges) == (0, 1)
    assert (waded.fords, waded.bridges, round(waded.length_m, -2), waded.on_trail_share) == (1, 0, 400, 0)
    assert (bridged.fords, bridged.bridges) == (0, 1)
    assert waded.seconds == pytest.approx(400 / 0.7785 + 40.0, rel=1e-3)


def test_a_walk_to_where_one_stands_is_no_walk() -> None:
    line = travel_times(graph(), np.array([[105.0, 305.0], [105.0, 305.0]])).path(0, 1)
    assert (line.length_m, line.seconds) == (0.0, 0.0)


def test_a_walk_on_the_flat_climbs_and_drops_nothing_and_not_less_than_nothing() -> None:
    line = walk(graph(), (105.0, 305.0), (305.0, 305.0))
    assert not np.signbit(line.descent_m)


def test_wet_ground_is_told_off_the_trail_and_not_on_it() -> None:
    wet = np.zeros(GRID.shape, dtype=bool)
    wet[:, 20:30] = True
    across = (105.0, 305.0), (505.0, 305.0)
    assert walk(graph(wet=wet), *across).wet_m == pytest.approx(100.0, abs=3.0)
    boards = shapely.LineString([(100.0, 305.0), (510.0, 305.0)])
    assert walk(graph(wet=wet, trails=[boards]), *across).wet_m == 0.0
    assert walk(graph(), *across).wet_m == 0.0
