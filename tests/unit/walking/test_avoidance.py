"""Dearer ground: ways round it, sums along ways, and lines that are timed on the ground as it is."""

import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.avoidance import dearer_graph, per_node, summed_along
from hushwalk.walking.graph import WalkGraph, build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.lines import draw_line
from hushwalk.walking.shortest_paths import reach_from
from hushwalk.walking.times import travel_times

GRID = Grid(32615, 0.0, 600.0, 10.0, 60, 60)
ENDS = np.array([[55.0, 305.0], [555.0, 305.0]])
TRAIL = shapely.LineString([(55.0, 305.0), (555.0, 305.0)])
PER_M = np.zeros(GRID.shape)
PER_M[25:34, 25:35] = 0.5  # 90 m by 100 m in the middle of the straight way


def graph(**given: object) -> WalkGraph:
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)), **given)  # type: ignore[arg-type]
    return build_graph(ground, gait_named("irmischer_clarke_off_path"))


@pytest.mark.parametrize("trails", [[], [TRAIL]])
def test_what_lies_along_the_quickest_way_is_summed_by_its_length(trails: list[shapely.LineString]) -> None:
    times = travel_times(graph(trails=trails), ENDS, per_m=PER_M)
    assert times.along is not None
    assert times.along[0, 1] == pytest.approx(0.5 * 100, rel=0.03)
    assert times.along[0, 0] == 0
    assert travel_times(graph(), ENDS).along is None


def test_a_way_on_dearer_ground_goes_round_and_is_timed_on_the_ground_as_it_is() -> None:
    plain = graph()
    times, dearer = travel_times(plain, ENDS), dearer_graph(plain, 20.0 * PER_M)
    start, end = (int(node) for node in times.nodes)
    reach = reach_from(dearer, start)
    assert summed_along(reach, times.nodes[1:], *per_node(plain, PER_M))[0] < 0.5 * 10
    line = draw_line(plain, reach.nodes_to(end), float(times.day_s[0, 1]), *ENDS, chosen_on=dearer)
    assert not shapely.LineString(line.line_m).intersects(shapely.box(256, 266, 344, 344))
    assert line.seconds == pytest.approx(line.length_m * times.day_s[0, 1] / 500, rel=0.03)  # level ground
    assert 500 < line.length_m < 1.1 * 500


def test_a_trail_is_left_only_where_the_ground_along_it_is_dear_enough() -> None:
    plain = graph(trails=[TRAIL])
    nodes = travel_times(plain, ENDS).nodes
    held = per_node(plain, PER_M)
    left = [
        summed_along(reach_from(dearer_graph(plain, dear * PER_M), int(nodes[0])), nodes[1:], *held)[0]
        for dear in (0.0, 20.0)
    ]
    assert left[0] == pytest.approx(50.0, rel=0.03)
    assert left[1] < 0.5 * 10
