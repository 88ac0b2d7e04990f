"""Plain orienteering, where a post is worth the same always: the problem laid out for compiled code.

Overlap, dwell choices and the time of day are tables.py's; the search is plain_local_search.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray

TOO_LONG = 4.0  # definition: above any budget, and small enough that sums keep their digits
NEAR = 10  # judgement: places tried beside a place; the travelling-salesman literature uses 5 to 10


class Plain(NamedTuple):
    """The posts that some walk within the budget can visit, then the start, then the end.

    Times hold half of the dwell at either end; ``back`` is the same the other way round, and ``near`` gives the places
    nearest to each. ``posts`` says which post of the problem each is.
    """

    times: FloatArray
    back: FloatArray
    near: IntArray
    score: FloatArray
    posts: IntArray
    budget: float
    two_way: bool


def plain_of(tables: Tables) -> Plain:
    """Fold a problem without overlap and time of day into times and scores."""
    dwell = np.full(len(tables.usable), tables.dwell[0])
    dwell[[tables.start, tables.end]] = 0.0
    owner = np.repeat(np.arange(len(tables.usable)), np.diff(tables.row_start))
    worth = tables.chance * tables.mass[tables.target] * tables.factor[0, 0]
    score = np.bincount(owner, worth, minlength=len(tables.usable)).astype(np.float64)
    limit = min(tables.budget, tables.latest - tables.earliest) * (1 + 1e-9)
    travel, half = tables.travel[0], dwell / 2
    every = travel + half[:, None] + half
    nearest = quickest(every, tables.start) + quickest(every.T, tables.end)
    posts = np.append(np.flatnonzero(tables.usable & (score > 0) & (nearest <= limit)), [tables.start, tables.end])
    # a leg that no walk can take stands as one just too long: sums with 1e30 would forget all shorter legs
    times = np.ascontiguousarray(np.minimum(every[np.ix_(posts, posts)], TOO_LONG * (limit + 1)))
    score = score[posts]
    score[-2:] = 0.0
    apart = np.minimum(times, times.T)
    np.fill_diagonal(apart, np.inf)
    near = np.argsort(apart, axis=1, kind="stable")[:, : min(NEAR, len(posts) - 1)].astype(np.int64)
    two_way = bool(np.array_equal(travel, travel.T))
    return Plain(times, np.ascontiguousarray(times.T), np.ascontiguousarray(near), score, posts, float(limit), two_way)


def quickest(times: FloatArray, start: int) -> FloatArray:
    """Least times from one place to every other, by way of others where that is quicker."""
    least = np.array(times[start])
    while True:
        shorter = np.minimum(least, (least[:, None] + times).min(axis=0))
        if np.array_equal(shorter, least):
            return least
        least = shorter


@njit(cache=True)
def route_time(plain: Plain, route: IntArray, count: int) -> float:
    """Time of a route of ``count`` places, start and end among them.

    Parameters
    ----------
    plain : plain orienteering laid out.
    route : shape (k,), places in order, start and end among them.
    count : places on the route, start and end among them.

    Returns
    -------
    float
        [s].
    """
    total = 0.0
    for k in range(count - 1):
        total += plain.times[route[k], route[k + 1]]
    return total


@njit(cache=True)
def total_score(plain: Plain, route: IntArray, count: int) -> float:
    """Score of the posts between start and end.

    Parameters
    ----------
    plain : plain orienteering laid out.
    route : shape (k,), places in order, start and end among them.
    count : places on the route, start and end among them.

    Returns
    -------
    float
        In the unit of the scores.
    """
    total = 0.0
    for k in range(1, count - 1):
        total += plain.score[route[k]]
    return total
