"""The way on foot of a search, over a graph with water across it."""

import numpy as np
import pytest

from hushwalk.birds.search.search_walk import GraphWalk
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import build_graph
from hushwalk.walking.ground import build_ground

GRID = Grid(32615, 0.0, 300.0, 10.0, 30, 30)


@pytest.fixture(scope="module")
def walk() -> GraphWalk:
    water = np.zeros(GRID.shape, dtype=bool)
    water[5:, 15] = True  # open only in the north
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)), water=water)
    return GraphWalk(build_graph(ground, gait_named("irmischer_clarke_off_path")))


def test_a_walk_goes_round_the_water(walk: GraphWalk) -> None:
    west, east = (105.0, 105.0), (205.0, 105.0)
    leg = walk.leg(west, east)
    assert np.isfinite(leg.seconds)
    assert leg.seconds <= walk.seconds(west, east) + 1e-6
    assert leg.line_m[:, 1].max() > 245.0
    assert not walk.clear(west, east)
    assert walk.clear((105.0, 275.0), (205.0, 275.0))


def test_there_is_no_way_off_the_ground_or_into_the_water(walk: GraphWalk) -> None:
    for place in ((-50.0, 100.0), (155.0, 20.0)):
        assert not walk.clear((105.0, 105.0), place)
    assert np.isinf(walk.seconds((105.0, 105.0), (-50.0, 100.0)))
    assert not np.isfinite(walk.leg((105.0, 105.0), (-50.0, 100.0)).seconds)
