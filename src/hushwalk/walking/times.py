"""How long it takes to walk from any post to any other, by day and in the dark, and along which line.

What a single step takes is decided in steps.py and graph.py.
"""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from os import cpu_count

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.types import FloatArray, Int32Array
from hushwalk.walking.avoidance import per_node, summed_along
from hushwalk.walking.graph import WalkGraph, in_the_dark
from hushwalk.walking.lines import WalkLine, draw_line, place_seconds
from hushwalk.walking.shortest_paths import reach_from

Legs = dict[int, dict[int, tuple[float, float]]]
"""Definition: from node to node, seconds between them and what lies along the way."""


@dataclass(frozen=True, eq=False)
class KnownLegs:
    """Legs of one graph, with one limit of time, that were found before, by day and in the dark."""

    day: Legs = field(default_factory=dict, repr=False)
    dark: Legs = field(default_factory=dict, repr=False)


@dataclass(frozen=True, eq=False)
class TravelTimes:
    """Seconds between posts, and the lines when they are asked for.

    Parameters
    ----------
    posts_xy_m : shape (n, 2), easting and northing [m].
    names : what to call each post.
    nodes : shape (n,), node of the graph that stands for each post.
    day_s : shape (n, n), from row to column by daylight; infinite where there is no way within the limit [s].
    dark_s : shape (n, n), the same before civil dawn [s].
    graph, dark_graph : where the times were found.
    along : shape (n, n), what lies along the quickest ways by daylight; None where nothing was asked for.
    ways : legs by daylight that are walked another way than the quickest, in no more whole minutes.
    """

    posts_xy_m: FloatArray = field(repr=False)
    names: tuple[str, ...] = field(repr=False)
    nodes: Int32Array = field(repr=False)
    day_s: FloatArray = field(repr=False)
    dark_s: FloatArray = field(repr=False)
    graph: WalkGraph = field(repr=False)
    dark_graph: WalkGraph = field(repr=False)
    along: FloatArray | None = field(default=None, repr=False)
    ways: Mapping[tuple[int, int], WalkLine] = field(default_factory=dict, repr=False)

    def path(self, i: int, j: int, *, dark: bool = False) -> WalkLine:
        """Line of the way from post i to post j: the quickest, where no other was put into ``ways``.

        The way back to the car from any post is ``path(post, car)``.

        Parameters
        ----------
        i, j : posts.
        dark : before civil dawn.

        Returns
        -------
        WalkLine
            With length, climb and fords.

        Raises
        ------
        NoPlanError
            If there is no way.

        Notes
        -----
        The search is made again, up to the post alone: that takes milliseconds, while keeping every way of every post
        would take gigabytes.
        """
        if not dark and (i, j) in self.ways:
            return self.ways[i, j]
        graph, table = (self.dark_graph, self.dark_s) if dark else (self.graph, self.day_s)
        reach = reach_from(graph, int(self.nodes[i]), targets=self.nodes[[j]])
        nodes = reach.nodes_to(int(self.nodes[j]))
        if not nodes:
            light = "in the dark" if dark else "by day"
            raise NoPlanError(
                f"there is no way on foot from {self.names[i]} to {self.names[j]} {light}: water, cliffs, closed "
                "ground or, in the dark, the lack of a trail lie between them"
            )
        return draw_line(graph, nodes, float(table[i, j]), self.posts_xy_m[i], self.posts_xy_m[j])


def travel_times(
    graph: WalkGraph,
    posts_xy_m: FloatArray,
    *,
    limit_s: float = np.inf,
    off_trail_in_the_dark: bool = False,
    names: Sequence[str] | None = None,
    per_m: FloatArray | None = None,
    known: KnownLegs | None = None,
) -> TravelTimes:
    """Work out the times between all posts.

    Parameters
    ----------
    graph : the walk graph by daylight.
    posts_xy_m : shape (n, 2), easting and northing; the car is one of them [m].
    limit_s : ways longer than this are not searched [s].
    off_trail_in_the_dark : whether the person leaves trails before civil dawn.
    names : what to call the posts in errors.
    per_m : shape grid.shape, what is summed along the quickest ways by daylight, so much a metre.
    known : legs of this graph that were found before, which grow by those that are found now; None to keep none.

    Returns
    -------
    TravelTimes
        Not symmetric: uphill and downhill differ.

    Raises
    ------
    PlaceError
        If a post lies off the grid or deep inside a barrier, naming it.

    Notes
    -----
    Times are those of the graph, on even ground up to 2.75 % too long with 16 neighbours (goodchild_1977), and hold
    the few metres between a post and the middle of its cell.
    """
    posts = np.atleast_2d(np.asarray(posts_xy_m, dtype=float))
    called = tuple(names) if names is not None else tuple(f"post {k}" for k in range(len(posts)))
    nodes = np.array([graph.node_at(xy, name) for xy, name in zip(posts, called, strict=True)], dtype=np.int32)
    dark_graph = in_the_dark(graph, off_trail=off_trail_in_the_dark)
    found = known or KnownLegs()
    day_s, along = _table(graph, posts, nodes, limit_s, found.day, per_m)
    return TravelTimes(
        posts_xy_m=posts,
        names=called,
        nodes=nodes,
        day_s=day_s,
        dark_s=_table(dark_graph, posts, nodes, limit_s, found.dark)[0],
        graph=graph,
        dark_graph=dark_graph,
        along=along,
    )


def _table(
    graph: WalkGraph,
    posts: FloatArray,
    nodes: Int32Array,
    limit_s: float,
    known: Legs,
    per_m: FloatArray | None = None,
) -> tuple[FloatArray, FloatArray | None]:
    """Seconds between posts, and what lies along the ways."""
    out_s = np.array([place_seconds(graph, xy, int(node), leaving=True) for xy, node in zip(posts, nodes, strict=True)])
    in_s = np.array([place_seconds(graph, xy, int(node), leaving=False) for xy, node in zip(posts, nodes, strict=True)])

    held = None if per_m is None else per_node(graph, per_m)

    def row(node: int) -> tuple[FloatArray, FloatArray]:
        own = known.setdefault(node, {})
        new = np.array([one for one in nodes.tolist() if one not in own], dtype=np.int32)
        if len(new):
            reach = reach_from(graph, node, limit_s=limit_s, targets=new)
            between_s = np.asarray(reach.seconds[new])
            along = between_s if held is None else summed_along(reach, new, *held)
            own.update(zip(new.tolist(), zip(between_s.tolist(), along.tolist(), strict=True), strict=True))
        between_s, along = np.array([own[one] for one in nodes.tolist()]).T
        return between_s, along

    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        between, along = np.array(list(pool.map(row, nodes.tolist()))).reshape(len(nodes), 2, len(nodes)).swapaxes(0, 1)
    total = between + out_s[:, None] + in_s[None, :]
    np.fill_diagonal(total, 0.0)
    return np.where(total <= limit_s, total, np.inf), None if held is None else np.asarray(along)
