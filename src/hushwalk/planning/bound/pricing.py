"""The best walk under a relaxed worth: a dynamic programme over posts, dwells and ticks, backwards in time.

A walk may come back to a post here, though never by way of one other post only; what its worth is relaxed to is
relaxation.py's, how a post is left departures.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import SCALES, BackwardLabels, Prices, new_backward_labels
from hushwalk.planning.bound.batch import FIRST, WIDTH
from hushwalk.planning.bound.compiled import without_reference_counts
from hushwalk.planning.bound.departures import leave_posts
from hushwalk.planning.bound.domain import Domain, Legs
from hushwalk.planning.bound.relaxation import Point, Relaxation, gain_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


@njit(cache=True, nogil=True)
def fill_backward_labels(
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    legs: Legs,
    top: FloatArray,
    domain: Domain,
    last: int,
    critical: IntArray,
) -> BackwardLabels:
    """Fill the tables of what can still be gained within a domain, by visiting critical posts at most once.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    prices : of what is limited.
    legs : legs that matter, by whether they overlap.
    top : shape (n,), highest overlap price of each post.
    domain : what may still be on a walk.
    last : the last of the given posts, or the start.
    critical : shape (k,), posts that relaxed walks may visit but once.

    Returns
    -------
    BackwardLabels
        Filled.

    Notes
    -----
    Sets of visited critical posts are worked one after another, the fullest first: what follows a stop at a critical
    post lies in a fuller set, and the tables of one set stay near the processor. Ticks are worked a few at a time, no
    more than the shortest leg and dwell take: all that follows them is known by then.
    """
    backward, first, quick = (
        new_backward_labels(relaxation, domain, top, critical),
        legs.opens[last],
        relaxation.dwell.min(),
    )
    workspace = np.empty((FIRST + 3 * relaxation.dwell.size) * WIDTH)
    posts = np.flatnonzero(domain.post)
    room, step = np.empty_like(posts), min(relaxation.shortest, WIDTH)
    _fill_gains(relaxation, point, prices, backward, posts)
    for visited in range((1 << critical.size) - 1, -1, -1):
        filled, end = relaxation.ticks, relaxation.ticks
        while end > first:
            begin, upto = max(end - step, first), max(min(end - quick, filled), first)
            _arrive(relaxation, backward, legs, domain, visited, posts, upto, filled)
            left = room[: _left(relaxation, backward, legs, domain, visited, posts, begin, end, room)]
            leave_posts(tables, relaxation, prices, point, backward, legs, domain, visited, left, begin, end, workspace)
            filled, end = upto, begin
        _arrive(relaxation, backward, legs, domain, visited, posts, first, filled)
    return backward


@without_reference_counts
def _fill_gains(
    relaxation: Relaxation, point: Point, prices: Prices, backward: BackwardLabels, posts: IntArray
) -> None:
    gain = backward.gain
    for i in posts:
        for w in range(relaxation.dwell.size):
            for tick in range(relaxation.ticks):
                gain[i, w, tick] = gain_at(relaxation, point, i, w, tick) - prices.stop


@without_reference_counts
def _left(
    relaxation: Relaxation,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
    left: IntArray,
) -> int:
    """Fill in the posts at which a stop may end at any of some ticks; gives how many."""
    count, bit, begins, opens, closes, dwell = 0, backward.bit, domain.begin, legs.opens, legs.closes, relaxation.dwell
    for i in posts:
        wanted = False
        if visited & bit[i] == bit[i] and opens[i] < end and begin <= closes[i]:
            for w in range(dwell.size):
                for tick in range(max(begin - dwell[w], 0), end - dwell[w]):
                    wanted |= begins[i, tick]
        if wanted:
            left[count] = i
            count += 1
    return count


@without_reference_counts
def _arrive(
    relaxation: Relaxation,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
) -> None:
    """Fill in arriving at posts at ticks from ``begin`` up to ``end``, what is later being filled in already."""
    arrive, arrive_else, follow, most = backward.arrive, backward.arrive_else, backward.follow, backward.most
    leave, leave_else, after, gain = backward.leave, backward.leave_else, backward.after, backward.gain
    dwell, factor, begins, opens, closes = relaxation.dwell, relaxation.factor, domain.begin, legs.opens, legs.closes
    for j in posts:
        if visited & backward.bit[j]:
            continue
        then, unit = visited | backward.bit[j], backward.top[j] / (SCALES - 1)
        for tick in range(min(end, closes[j] + 1) - 1, max(begin, opens[j]) - 1, -1):
            stops = dwell.size if begins[j, tick] else 0
            for s in range(SCALES):
                best, other = arrive[visited, j, s, tick + 1], arrive_else[visited, j, s, tick + 1]
                following = follow[visited, j, s, tick + 1]
                for w in range(stops):
                    gone = tick + dwell[w]
                    if gone > closes[j]:
                        continue
                    worth, to = gain[j, w, tick] - unit * s * factor[w, tick], after[then, j, w, gone]
                    one, two = worth + leave[then, j, w, gone], worth + leave_else[then, j, w, gone]
                    if to != following:
                        other = max(other, min(one, best))
                    if one > best:
                        best, following = one, to
                    other = max(other, two)  # larger only where what follows is the same
                arrive[visited, j, s, tick], arrive_else[visited, j, s, tick] = best, other
                follow[visited, j, s, tick] = following
            most[visited, tick] = max(most[visited, tick], arrive[visited, j, 0, tick])
    for tick in range(end - 1, begin - 1, -1):
        most[visited, tick] = max(most[visited, tick], most[visited, tick + 1])
