import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.cost_field import pace_table
from hushwalk.walking.graph import build_graph
from hushwalk.walking.ground import Ground, GroundParams, build_ground
from hushwalk.walking.joints import join_trails
from hushwalk.walking.shortest_paths import walking_time_from

GRID = Grid(32615, 0.0, 100.0, 10.0, 10, 10)
GAIT = gait_named("irmischer_clarke_off_path")


def ground(**given: object) -> Ground:
    z = given.pop("z", np.zeros(GRID.shape))
    return build_ground(Layer("elevation", "m", GRID, z), **given)  # type: ignore[arg-type]


TRAIL = shapely.LineString([(5.0, 52.0), (95.0, 52.0)])


def test_a_trail_takes_the_on_path_pace_in_both_directions() -> None:
    climbs_east = np.indices(GRID.shape)[1] * 1.0
    laid = ground(trails=[TRAIL], z=climbs_east)
    joints = join_trails(laid, pace_table(GAIT))
    leaves = np.repeat(np.arange(len(joints.start) - 1), np.diff(joints.start))
    east = joints.on_trail & (joints.to > leaves)
    west = joints.on_trail & (joints.to < leaves)
    up, down = GAIT.on_path_seconds_per_metre([0.1, -0.1])
    assert joints.seconds[east].sum() == pytest.approx(90 * up, rel=1e-6)
    assert joints.seconds[west].sum() == pytest.approx(90 * down, rel=1e-6)


def test_every_trail_node_is_joined_to_the_open_cell_that_holds_it() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[:, 4] = True
    laid = ground(trails=[TRAIL], water=water)
    joints = join_trails(laid, pace_table(GAIT))
    for node, (x, _) in enumerate(laid.trails.xy_m):
        links = slice(joints.start[GRID.n_cells + node], joints.start[GRID.n_cells + node + 1])
        cells = joints.to[links][joints.to[links] < GRID.n_cells].tolist()
        assert cells == ([] if 40 <= x < 50 else [4 * 10 + int(x // 10)])


def test_a_stream_between_the_trail_and_the_middle_of_its_cell_is_waded() -> None:
    stream = shapely.LineString([(0.0, 53.5), (100.0, 53.5)])  # trail at 52, middles at 55
    params = GroundParams(ford_s=100.0)
    dry = join_trails(ground(trails=[TRAIL], params=params), pace_table(GAIT))
    wet = join_trails(ground(trails=[TRAIL], streams=[stream], params=params), pace_table(GAIT))
    assert wet.seconds - dry.seconds == pytest.approx(np.where(wet.on_trail, 0.0, 100.0))


def test_without_trails_there_are_no_links() -> None:
    joints = join_trails(ground(), pace_table(GAIT))
    assert len(joints.to) == 0
    assert joints.start.tolist() == [0] * (GRID.n_cells + 1)


def test_a_trail_that_ends_on_the_rim_of_the_ground_makes_no_endless_link() -> None:
    rim = Grid(32615, 0.004, 100.004, 10.0, 10, 10)  # nodes are kept to a centimetre, the rim is not
    flat = Layer("elevation", "m", rim, np.zeros(rim.shape))
    over = [
        shapely.LineString([(-20.0, 45.0), (120.0, 55.0)]),
        shapely.LineString([(45.0, -20.0), (55.0, 120.0)]),
    ]
    laid = build_ground(flat, roads=over)
    joints = join_trails(laid, pace_table(GAIT))
    assert np.isfinite(joints.seconds).all()
    assert np.isfinite(walking_time_from(build_graph(laid, GAIT), (50.0, 50.0)).values).all()


def test_a_step_off_the_trail_that_would_cross_a_barrier_is_no_link() -> None:
    closed = np.ones(GRID.shape, dtype=bool)
    closed[4, :] = False
    laid = ground(trails=[shapely.LineString([(5.0, 50.0), (95.0, 50.0)])], closed=closed)  # on the edge of a row
    joints = join_trails(laid, pace_table(GAIT))
    assert np.isfinite(joints.seconds).all()
