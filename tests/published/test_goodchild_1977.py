"""Goodchild 1977 and later: paths on a lattice are longer than the straight line, by 8.24 % with 8 moves, 2.75 with 16.

The figures are those usual in the literature, from memory; 1.31 for 32 moves and the means follow from the same closed
form and are worked out in the project's reference notes.
"""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import GraphParams, build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.moves import moves_of
from hushwalk.walking.shortest_paths import reach_from

WORST_AND_MEAN_PCT = {8: (8.24, 5.48), 16: (2.75, 1.44), 32: (1.31, 0.49)}
REACH = 150  # cells; far enough that rounding a bearing to a cell hides nothing


@pytest.mark.parametrize("neighbours", WORST_AND_MEAN_PCT)
def test_the_closed_form(neighbours: int) -> None:
    worst, mean = moves_of(neighbours).elongation
    assert (100 * worst, 100 * mean) == pytest.approx(WORST_AND_MEAN_PCT[neighbours], abs=0.0051)


@pytest.mark.parametrize("neighbours", WORST_AND_MEAN_PCT)
def test_the_walk_graph_on_a_flat_plane_over_360_bearings(neighbours: int) -> None:
    grid = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 2 * REACH + 1, 2 * REACH + 1)
    ground = build_ground(Layer("elevation", "m", grid, np.zeros(grid.shape)))
    gait = gait_named("irmischer_clarke_off_path")
    graph = build_graph(ground, gait, GraphParams(neighbours=neighbours))
    reach = reach_from(graph, REACH * grid.n_cols + REACH)
    bearings = np.radians(np.arange(360))
    rows = np.rint(REACH - REACH * np.cos(bearings)).astype(int)
    cols = np.rint(REACH + REACH * np.sin(bearings)).astype(int)
    straight_m = 10.0 * np.hypot(rows - REACH, cols - REACH)
    walked_m = reach.seconds[rows * grid.n_cols + cols] / float(gait.off_path_seconds_per_metre(0.0))
    excess_pct = 100 * (walked_m / straight_m - 1)
    worst, mean = WORST_AND_MEAN_PCT[neighbours]
    assert excess_pct.min() > -1e-3
    assert worst - 0.1 < excess_pct.max() < worst + 0.01
    assert excess_pct.mean() == pytest.approx(mean, abs=0.05)
