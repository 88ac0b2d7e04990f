"""A line through points: whole numbers of a 3-4-5 triangle, both ends, and a point alone."""

import numpy as np
import pytest
from shapely import LineString

from hushwalk.grid.polyline import distances_along, points_along, polyline_length, segment_lengths

CORNER = np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 10.0]])


def test_lengths_of_segments_add_up_to_the_distances_and_the_length() -> None:
    assert segment_lengths(CORNER).tolist() == [5.0, 6.0]
    assert distances_along(CORNER).tolist() == [0.0, 5.0, 11.0]
    assert polyline_length(CORNER) == 11.0


def test_a_single_point_has_no_length() -> None:
    assert segment_lengths(CORNER[:1]).shape == (0,)
    assert distances_along(CORNER[:1]).tolist() == [0.0]
    assert polyline_length(CORNER[:1]) == 0.0


def test_points_lie_at_their_distance_and_stay_between_the_ends() -> None:
    assert points_along(CORNER, np.array([-1.0, 2.5, 8.0, 99.0])).tolist() == [[0, 0], [1.5, 2], [3, 7], [3, 10]]
    assert points_along(CORNER, 6.0).shape == (2,)


def test_it_agrees_with_the_shape_library_on_a_line_of_chance() -> None:
    points = np.random.default_rng(7).normal(0, 100, (50, 2))
    line = LineString(points)
    assert polyline_length(points) == pytest.approx(line.length, rel=1e-12)
    at = line.interpolate(0.3 * line.length)
    assert points_along(points, 0.3 * line.length) == pytest.approx([at.x, at.y], abs=1e-9)
