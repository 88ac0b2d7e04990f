"""The way on foot of a search, over the walking graph by daylight.

How lines are drawn and times found is the walking room's business.
"""

import numpy as np

from hushwalk.birds.search.search_effort import XY
from hushwalk.birds.search.search_plan import WalkLeg
from hushwalk.errors import PlaceError
from hushwalk.types import FloatArray
from hushwalk.walking.cost_field import field_of, step_between
from hushwalk.walking.geometry import cell_units
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.lines import draw_line
from hushwalk.walking.shortest_paths import Reach, reach_from

NOWHERE: FloatArray = np.empty((0, 2))


class GraphWalk:
    """Walks over a graph; endless where a place cannot be stood on. What was asked is remembered."""

    def __init__(self, graph: WalkGraph) -> None:
        self.graph = graph
        entry = ~graph.ground.blocked & graph.allowed[: graph.n_cells].reshape(graph.ground.grid.shape)
        self._land = field_of(graph.ground, graph.pace, entry)
        self._reach: dict[int, Reach] = {}
        self._legs: dict[tuple[XY, XY], WalkLeg] = {}

    def seconds(self, start: XY, end: XY) -> float:
        """Time of the way by the graph [s]."""
        a, b = self._node(start), self._node(end)
        return np.inf if a is None or b is None else float(self._from(a).seconds[b])

    def leg(self, start: XY, end: XY) -> WalkLeg:
        """Time and line of the way, drawn straight where nothing is in between."""
        if (start, end) not in self._legs:
            self._legs[start, end] = self._drawn(start, end)
        return self._legs[start, end]

    def clear(self, start: XY, end: XY) -> bool:
        """Whether one can go straight: no water, no closed ground, nothing too steep between."""
        grid = self.graph.ground.grid
        if not grid.contains(np.array([start, end])).all():
            return False
        a, b = cell_units(grid, np.array([start, end]))
        return bool(np.isfinite(step_between(a, b, self._land))) and self._node(start) is not None

    def _drawn(self, start: XY, end: XY) -> WalkLeg:
        a, b = self._node(start), self._node(end)
        nodes = [] if a is None or b is None else self._from(a).nodes_to(b)
        if not nodes or a is None or b is None:
            return WalkLeg(np.inf, NOWHERE)
        line = draw_line(self.graph, nodes, float(self._from(a).seconds[b]), np.asarray(start), np.asarray(end))
        return WalkLeg(line.seconds, line.line_m)

    def _from(self, node: int) -> Reach:
        if node not in self._reach:
            self._reach[node] = reach_from(self.graph, node)
        return self._reach[node]

    def _node(self, xy_m: XY) -> int | None:
        try:
            return self.graph.node_at(xy_m, "a place of the search")
        except PlaceError:
            return None
