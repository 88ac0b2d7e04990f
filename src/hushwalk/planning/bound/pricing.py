"""The best walk under a relaxed worth: a dynamic programme over posts, dwells and ticks, backwards in time.

A walk may come back to a post here, though never by way of one other post only; what its worth is relaxed to is
relaxation.py's, how a post is left departures.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import SCALES, Ahead, Prices, tables_ahead
from hushwalk.planning.bound.batch import FIRST, WIDTH
from hushwalk.planning.bound.compiled import lean
from hushwalk.planning.bound.departures import leave_posts
from hushwalk.planning.bound.domain import Legs, Scope
from hushwalk.planning.bound.relaxation import Point, Relief, gain_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


@njit(cache=True, nogil=True)
def look_ahead(
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    legs: Legs,
    top: FloatArray,
    scope: Scope,
    last: int,
    critical: IntArray,
) -> Ahead:
    """Fill the tables of what can still be gained within a scope, by visiting critical posts at most once.

    Notes
    -----
    Sets of visited critical posts are worked one after another, the fullest first: what follows a stop at a critical
    post lies in a fuller set, and the tables of one set stay near the processor. Ticks are worked a few at a time, no
    more than the shortest leg and dwell take: all that follows them is known by then.
    """
    ahead, first, quick = tables_ahead(relief, scope, top, critical), legs.opens[last], relief.dwell.min()
    desk = np.empty((FIRST + 3 * relief.dwell.size) * WIDTH)
    posts = np.flatnonzero(scope.post)
    room, step = np.empty_like(posts), min(relief.shortest, WIDTH)
    _fill_gains(relief, point, prices, ahead, posts)
    for visited in range((1 << critical.size) - 1, -1, -1):
        filled, end = relief.ticks, relief.ticks
        while end > first:
            begin, upto = max(end - step, first), max(min(end - quick, filled), first)
            _arrive(relief, ahead, legs, scope, visited, posts, upto, filled)
            left = room[: _left(relief, ahead, legs, scope, visited, posts, begin, end, room)]
            leave_posts(tables, relief, prices, point, ahead, legs, scope, visited, left, begin, end, desk)
            filled, end = upto, begin
        _arrive(relief, ahead, legs, scope, visited, posts, first, filled)
    return ahead


@lean
def _fill_gains(relief: Relief, point: Point, prices: Prices, ahead: Ahead, posts: IntArray) -> None:
    gain = ahead.gain
    for i in posts:
        for w in range(relief.dwell.size):
            for tick in range(relief.ticks):
                gain[i, w, tick] = gain_at(relief, point, i, w, tick) - prices.stop


@lean
def _left(
    relief: Relief,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
    left: IntArray,
) -> int:
    """Fill in the posts at which a stop may end at any of some ticks; gives how many."""
    count, bit, begins, opens, closes, dwell = 0, ahead.bit, scope.begin, legs.opens, legs.closes, relief.dwell
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


@lean
def _arrive(
    relief: Relief, ahead: Ahead, legs: Legs, scope: Scope, visited: int, posts: IntArray, begin: int, end: int
) -> None:
    """Fill in arriving at posts at ticks from ``begin`` up to ``end``, what is later being filled in already."""
    arrive, arrive_else, follow, most = ahead.arrive, ahead.arrive_else, ahead.follow, ahead.most
    leave, leave_else, after, gain = ahead.leave, ahead.leave_else, ahead.after, ahead.gain
    dwell, factor, begins, opens, closes = relief.dwell, relief.factor, scope.begin, legs.opens, legs.closes
    for j in posts:
        if visited & ahead.bit[j]:
            continue
        then, unit = visited | ahead.bit[j], ahead.top[j] / (SCALES - 1)
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
