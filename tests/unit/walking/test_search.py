from itertools import pairwise

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import WalkGraph, build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.shortest_paths import reach_from

GRID = Grid(32615, 0.0, 300.0, 10.0, 30, 30)


@pytest.fixture(scope="module")
def hills() -> WalkGraph:
    z = np.random.default_rng(5).normal(0, 3, GRID.shape)
    water = np.zeros(GRID.shape, dtype=bool)
    water[:, 20] = True
    ground = build_ground(Layer("elevation", "m", GRID, z), water=water)
    return build_graph(ground, gait_named("irmischer_clarke_off_path"))


def test_the_nodes_of_a_way_add_up_to_its_time(hills: WalkGraph) -> None:
    reach = reach_from(hills, 0)
    target = 25 * 30 + 15
    nodes = reach.nodes_to(target)
    of_move = {int(offset): k for k, offset in enumerate(hills.offsets)}
    steps = [hills.seconds[a, of_move[b - a]] for a, b in pairwise(nodes)]
    assert nodes[0] == 0
    assert nodes[-1] == target
    assert np.sum(steps, dtype=float) == pytest.approx(reach.seconds[target], rel=1e-6)


def test_behind_the_water_there_is_no_way(hills: WalkGraph) -> None:
    reach = reach_from(hills, 0)
    assert np.isinf(reach.seconds.reshape(GRID.shape)[:, 20:]).all()
    assert reach.nodes_to(25) == []


def test_stopping_at_targets_or_at_a_limit_changes_no_time_within(hills: WalkGraph) -> None:
    whole = reach_from(hills, 35)
    targets = np.array([100, 250, 480], dtype=np.int32)
    assert reach_from(hills, 35, targets=targets).seconds[targets] == pytest.approx(whole.seconds[targets], rel=1e-12)
    near = reach_from(hills, 35, limit_s=150.0).seconds
    assert np.array_equal(np.where(whole.seconds <= 150.0, whole.seconds, np.inf), near)


def test_a_target_out_of_reach_ends_the_search_all_the_same(hills: WalkGraph) -> None:
    assert np.isinf(reach_from(hills, 35, targets=np.array([29], dtype=np.int32)).seconds[29])
