"""How long it takes to walk from any post to any other, by day and in the dark, and along which line.

What a single step takes is decided in steps.py and graph.py.
"""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from os import cpu_count

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.types import BoolArray, FloatArray, Int32Array
from hushwalk.walking.avoidance import per_node, summed_along
from hushwalk.walking.graph import WalkGraph, in_the_dark
from hushwalk.walking.lines import WalkLine, draw_line, place_seconds
from hushwalk.walking.near_legs import by_way_of, nearest, only_slower
from hushwalk.walking.shortest_paths import reach_from

Legs = dict[int, dict[int, tuple[float, float]]]
"""Definition: from node to node, seconds between them and what lies along the way."""


@dataclass(frozen=True, eq=False)
class KnownLegs:
    """Legs of one graph that were found before, by day and in the dark.

    A leg that is infinite holds the limit up to which it was searched for, so that a longer one searches anew.
    """

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
    drawn : lines that were drawn before, by posts and light.
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
    drawn: dict[tuple[int, int, bool], WalkLine] = field(default_factory=dict, repr=False)

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
        if (i, j, dark) not in self.drawn:
            self.drawn[i, j, dark] = self._line(i, j, dark=dark)
        return self.drawn[i, j, dark]

    def _line(self, i: int, j: int, *, dark: bool) -> WalkLine:
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
    near: int | None = None,
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
    near : search for legs between each post and its so many nearest ones, and from and to the first post, only; others
        that are not known lead by way of those, and are too long rather than too short. None to search for all.

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
    found, held = known or KnownLegs(), None if per_m is None else per_node(graph, per_m)

    def table(one: WalkGraph, legs: Legs) -> tuple[FloatArray, FloatArray]:
        wanted = np.ones((len(posts), len(posts)), bool)
        if near is not None:
            wanted = nearest(posts, near) | _searched(nodes, limit_s, legs)
        between_s, along = _between(one, nodes, wanted, limit_s, legs, held)
        return (between_s, along) if wanted.all() else by_way_of(one, nodes, between_s, along, limit_s, held)

    day_s, along = table(graph, found.day)
    dark_s = day_s * dark_graph.grid_scale if only_slower(dark_graph) else table(dark_graph, found.dark)[0]
    return TravelTimes(
        posts_xy_m=posts,
        names=called,
        nodes=nodes,
        day_s=_with_places(graph, posts, nodes, day_s, limit_s),
        dark_s=_with_places(dark_graph, posts, nodes, dark_s, limit_s),
        graph=graph,
        dark_graph=dark_graph,
        along=None if held is None else along,
    )


def _between(
    graph: WalkGraph,
    nodes: Int32Array,
    wanted: BoolArray,
    limit_s: float,
    known: Legs,
    held: tuple[FloatArray, FloatArray] | None,
) -> tuple[FloatArray, FloatArray]:
    """Seconds between nodes, and what lies along the ways; infinite where none is wanted or found within the limit."""

    def row(k: int) -> tuple[list[float], list[float]]:
        own = known.setdefault(int(nodes[k]), {})
        targets = nodes[wanted[k]].tolist()
        new = [one for one in targets if not _known(own, one, limit_s)]
        if new:
            ends = np.array(new, dtype=np.int32)
            reach = reach_from(graph, int(nodes[k]), limit_s=limit_s, targets=ends)
            between_s = np.asarray(reach.seconds[ends])
            along = between_s if held is None else summed_along(reach, ends, *held)
            lies = np.where(np.isfinite(between_s), along, limit_s)
            own.update(zip(new, zip(between_s.tolist(), lies.tolist(), strict=True), strict=True))
        found = [own[one] for one in targets]
        return [seconds for seconds, _ in found], [along for _, along in found]

    between_s, along = (np.full(wanted.shape, np.inf) for _ in range(2))
    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        for k, (seconds, lies) in enumerate(pool.map(row, range(len(nodes)))):
            between_s[k, wanted[k]], along[k, wanted[k]] = seconds, lies
    far = between_s > limit_s
    return np.where(far, np.inf, between_s), np.where(far, np.inf, along)


def _known(legs: dict[int, tuple[float, float]], node: int, limit_s: float) -> bool:
    """Whether the leg to a node was found, or searched for up to the limit."""
    seconds, lies = legs.get(node, (np.inf, -np.inf))
    return seconds < np.inf or lies >= limit_s


def _searched(nodes: Int32Array, limit_s: float, legs: Legs) -> BoolArray:
    """Which legs between nodes were searched for before, shape (n, n)."""
    return np.array([[_known(legs.get(a, {}), b, limit_s) for b in nodes.tolist()] for a in nodes.tolist()])


def _with_places(
    graph: WalkGraph, posts: FloatArray, nodes: Int32Array, between_s: FloatArray, limit_s: float
) -> FloatArray:
    """Seconds between posts, with the few metres between them and their nodes; infinite beyond the limit."""
    ends = list(zip(posts, nodes.tolist(), strict=True))
    out_s, in_s = (np.array([place_seconds(graph, *end, leaving=leaving) for end in ends]) for leaving in (True, False))
    total = between_s + out_s[:, None] + in_s[None, :]
    np.fill_diagonal(total, 0.0)
    return np.where(total <= limit_s, total, np.inf)
