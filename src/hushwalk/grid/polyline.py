"""A line through points: lengths of its segments, distances along it, its whole length, the points between, its ground.

Lines here are plain arrays in one metric system or on paper; shapes of layers keep the methods of their library.
"""

from typing import Any

import numpy as np
from shapely import Polygon
from shapely.ops import unary_union

from hushwalk.types import FloatArray


def segment_lengths(points: FloatArray) -> FloatArray:
    """Lengths of the segments between points that follow each other.

    Examples
    --------
    >>> segment_lengths(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 10.0]])).tolist()
    [5.0, 6.0]
    """
    return np.asarray(np.hypot(*np.diff(points, axis=0).T))


def polyline_length(points: FloatArray) -> float:
    """Length of the line through points, in the unit of the points; 0 for a single point."""
    return float(segment_lengths(points).sum())


def distances_along(points: FloatArray) -> FloatArray:
    """Distance along the line from its first point to each of its points.

    Examples
    --------
    >>> distances_along(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 10.0]])).tolist()
    [0.0, 5.0, 11.0]
    """
    return np.asarray(np.r_[0.0, np.cumsum(segment_lengths(points))])


def points_along(points: FloatArray, distances: FloatArray | float) -> FloatArray:
    """Points at given distances along the line; beyond its ends, the ends.

    Examples
    --------
    >>> points_along(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 10.0]]), 6.0).tolist()
    [3.0, 5.0]
    """
    along = distances_along(points)
    return np.stack([np.interp(distances, along, points[:, 0]), np.interp(distances, along, points[:, 1])], axis=-1)


def rings_area(rings: tuple[FloatArray, ...]) -> Any:  # noqa: ANN401 - a shapely geometry
    """Join closed rings to the ground that they hold, such as that within earshot: a ring inside another is a hole."""
    area: Any = Polygon()
    for shape in sorted((Polygon(ring).buffer(0) for ring in rings), key=lambda s: -s.area):
        area = area.symmetric_difference(shape)
    return unary_union([area])
