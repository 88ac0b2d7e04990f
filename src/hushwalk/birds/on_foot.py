"""Walks between any two places on the trip's walk graph, remembered, for a search that is made up as it goes.

Times between the posts of a plan are the walking room's own business.
"""

import numpy as np

from hushwalk.birds.search import XY, Walk, WalkLeg
from hushwalk.errors import PlaceError
from hushwalk.types import FloatArray
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.lines import draw_line
from hushwalk.walking.shortest_paths import reach_from

NOWHERE: FloatArray = np.empty((0, 2))


def walk_on_graph(graph: WalkGraph) -> Walk:
    """Give the walk between two places by daylight; endless where one of them cannot be stood on.

    Parameters
    ----------
    graph : by daylight.
    """
    known: dict[tuple[XY, XY], WalkLeg] = {}

    def walk(start: XY, end: XY) -> WalkLeg:
        if (start, end) not in known:
            known[start, end] = _walk(graph, start, end)
        return known[start, end]

    return walk


def _walk(graph: WalkGraph, start: XY, end: XY) -> WalkLeg:
    a, b = (_node(graph, xy) for xy in (start, end))
    if a is None or b is None:
        return WalkLeg(np.inf, NOWHERE)
    reach = reach_from(graph, a, targets=np.array([b], dtype=np.int32))
    nodes = reach.nodes_to(b)
    if not nodes:
        return WalkLeg(np.inf, NOWHERE)
    line = draw_line(graph, nodes, float(reach.seconds[b]), np.asarray(start), np.asarray(end))
    return WalkLeg(line.seconds, line.line_m)


def _node(graph: WalkGraph, xy_m: XY) -> int | None:
    try:
        return graph.node_at(xy_m, "a place of the search")
    except PlaceError:
        return None
