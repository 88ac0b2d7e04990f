"""Streams drawn as areas: which parts of an area of water are wide, and the middle line of those that are not.

A cell whose middle an area misses would lose it; a line is waded wherever it is crossed.
"""

from typing import Any

import numpy as np
import shapely

from hushwalk.types import FloatArray

Geometry = Any

WADED_M = 10.0  # judgement: quietly and in the dark nobody wades wider water, and a stream this wide is a river
CREEK_FROM_M = 3.0  # judgement: water up to here is stepped or jumped over, a brook
ROUNDER = 1.05  # judgement: an opened shape is put back a little larger, so that no sliver is left round it
STEPS_ACROSS = 3  # judgement: points along a bank this many to a width set the middle line to a sixth of it
FINEST_M = 2.0  # judgement: narrower water is drawn by its banks, which no step tells apart
LEAST_COVERED = 0.9  # judgement: a middle line that misses more of the banks than this leaves gaps


def split_by_width(area: Geometry, width_m: float = WADED_M) -> tuple[list[Geometry], list[Geometry]]:
    """Split an area in the parts that are wider than a limit and those that are not.

    Parameters
    ----------
    area : polygon [m].
    width_m : the limit [m].

    Returns
    -------
    tuple of lists of polygons
        Wide parts, and narrow parts; corners of wide parts stay with them.

    Notes
    -----
    Morphological opening with a disc of the width.
    """
    core = area.buffer(-width_m / 2)
    if core.is_empty:
        return [], [area]
    opened = core.buffer(width_m / 2 * ROUNDER)
    left = shapely.get_parts(shapely.difference(area, opened))
    narrow = [part for part in left if part.geom_type == "Polygon" and part.length / 2 > 2 * width_m]
    wide = shapely.difference(area, shapely.union_all(narrow)) if narrow else area
    return [part for part in shapely.get_parts(wide) if part.area > 0], narrow


def mean_width_m(area: Geometry) -> float:
    """Mean width of a long area, twice its area by its outline [m]."""
    return float(2 * area.area / area.length)


def middle_line(area: Geometry) -> list[Geometry]:
    """Lines along the middle of a narrow area, or its banks where that is too narrow or too ragged.

    Parameters
    ----------
    area : polygon [m].

    Returns
    -------
    list of shapely lines

    Notes
    -----
    The edges between the Voronoi cells of points along the outline, as far as they lie inside.
    """
    width = mean_width_m(area)
    banks = [ring for ring in (area.exterior, *area.interiors) if ring.length > 0]
    drawn = [shapely.LineString(ring.coords) for ring in banks]
    if width < FINEST_M:
        return drawn
    points = np.vstack([_points(ring, width / STEPS_ACROSS) for ring in banks])
    edges = shapely.get_parts(shapely.voronoi_polygons(shapely.multipoints(points), only_edges=True))
    shapely.prepare(area)
    inside = edges[shapely.covers(area, edges)]
    if not len(inside):
        return drawn
    middle = shapely.line_merge(shapely.multilinestrings(inside))
    shapely.prepare(middle)
    reached = shapely.dwithin(shapely.points(points), middle, 2 * width).mean()
    return list(shapely.get_parts(middle)) if reached >= LEAST_COVERED else drawn


def _points(ring: Geometry, step_m: float) -> FloatArray:
    return np.asarray(shapely.get_coordinates(shapely.segmentize(ring, step_m))[:-1])
