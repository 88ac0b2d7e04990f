"""The best walk under a relaxed worth: a dynamic programme over posts, dwells and ticks, backwards in time.

A walk may come back to a post here, though never by way of one other post only; what its worth is relaxed to is
relaxed.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.relaxed import Point, Relief, gain_at
from hushwalk.planning.scope import Legs, Scope
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
SmallArray = NDArray[np.int16]
SCALES = 4  # judgement: overlap prices between two of four are bounded by the chord
NEVER = -1e30  # definition: worse than any walk


class Prices(NamedTuple):
    """Prices of what is limited: a tick from leaving to being back, a stop, a tick on foot, a metre."""

    tick: float
    stop: float
    walk: float
    metre: float


class Left(NamedTuple):
    """Room for one moment of leaving, by dwell: the best, the second best, and the post that follows the best."""

    best: FloatArray
    other: FloatArray
    after: IntArray


class Ahead(NamedTuple):
    """Best relaxed worth ahead, by which critical posts have been visited.

    ``leave`` by visited, post, dwell and tick of leaving; ``arrive`` by visited, tick of arriving, post and overlap
    price, and ``reach`` the same at price 0, ``most`` the largest of all posts; ``bit`` is the mark of each critical
    post, 0 for the others. ``after`` is the post that follows (the count of posts: home) on the walk of ``leave`` and
    ``follow`` on that of ``arrive``; ``leave_else`` and ``arrive_else`` are the best with another post following, so
    that no walk goes back to a post at once (Houck and others 1980).
    """

    leave: FloatArray
    after: SmallArray
    leave_else: FloatArray
    arrive: FloatArray
    follow: SmallArray
    arrive_else: FloatArray
    reach: FloatArray
    most: FloatArray
    top: FloatArray
    bit: IntArray


@njit(cache=True, nogil=True)
def home(tables: Tables, relief: Relief, prices: Prices, post: int, tick: int) -> float:
    """Value of going to the end from a post at a tick."""
    leg = tables.leg[tables.slot[tick], post, tables.end]
    if tick + leg >= relief.ticks:
        return NEVER
    return float(-prices.tick * (tick + leg) - prices.walk * leg - prices.metre * tables.length[post, tables.end])


@njit(cache=True, nogil=True)
def at_scale(best: FloatArray, other: FloatArray, follow: SmallArray, where: float, before: int) -> float:
    """Value of arriving from the post ``before``, on the chord between two scales of the overlap price."""
    low = min(int(where), SCALES - 2)
    value = other[low] if follow[low] == before else best[low]
    if where <= low:
        return float(value)
    more = other[low + 1] if follow[low + 1] == before else best[low + 1]
    return float(value * (1 - where + low) + more * (where - low))


@njit(cache=True, nogil=True)
def step_to(ahead: Ahead, visited: int, post: int, tick: int, price: float, before: int) -> float:
    """Value of arriving at a post from the post ``before`` when each unit of its factor costs ``price`` for overlap."""
    top = ahead.top[post]
    where = 0.0 if price <= 0.0 or top <= 0.0 else min(price / top, 1.0) * (SCALES - 1)
    best, other = ahead.arrive[visited, tick, post], ahead.arrive_else[visited, tick, post]
    return at_scale(best, other, ahead.follow[visited, tick, post], where, before)


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
    post lies in a fuller set, and the tables of one set stay near the processor.
    """
    n, ticks, dwells, sets = scope.post.size, relief.ticks, relief.dwell.size, 1 << critical.size
    bit = np.zeros(n, np.int64)
    for k in range(critical.size):
        bit[critical[k]] = 1 << k
    ahead = Ahead(
        np.full((sets, n, dwells, ticks), NEVER),
        np.full((sets, n, dwells, ticks), n, np.int16),
        np.full((sets, n, dwells, ticks), NEVER),
        np.full((sets, ticks + 1, n, SCALES), NEVER),
        np.full((sets, ticks + 1, n, SCALES), n, np.int16),
        np.full((sets, ticks + 1, n, SCALES), NEVER),
        np.full((sets, ticks + 1, n), NEVER),
        np.full((sets, ticks + 1), NEVER),
        top,
        bit,
    )
    left = Left(np.empty(dwells), np.empty(dwells), np.empty(dwells, np.int64))
    quick = relief.dwell.min()
    for visited in range(sets - 1, -1, -1):
        for tick in range(ticks - 1, legs.opens[last] - 1, -1):
            if quick > 0:
                _arrive_all(relief, point, prices, ahead, legs, scope, visited, tick)
            for i in range(n):
                here = (scope.post[i] or i == last) and visited & bit[i] == bit[i]
                if here and legs.opens[i] <= tick <= legs.closes[i]:
                    _leave_one(tables, relief, prices, point, ahead, legs, scope, visited, i, tick, last, left)
            if quick == 0:
                _arrive_all(relief, point, prices, ahead, legs, scope, visited, tick)
    return ahead


@njit(cache=True, nogil=True)
def _arrive_all(
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    visited: int,
    tick: int,
) -> None:
    ahead.most[visited, tick] = ahead.most[visited, tick + 1]
    for j in range(scope.post.size):
        if not scope.post[j] or visited & ahead.bit[j] or tick < legs.opens[j] or tick > legs.closes[j]:
            continue
        for s in range(SCALES):
            ahead.arrive[visited, tick, j, s] = ahead.arrive[visited, tick + 1, j, s]
            ahead.follow[visited, tick, j, s] = ahead.follow[visited, tick + 1, j, s]
            ahead.arrive_else[visited, tick, j, s] = ahead.arrive_else[visited, tick + 1, j, s]
        if scope.begin[j, tick]:
            _arrive_one(relief, point, prices, ahead, visited, j, tick, legs.closes[j])
        ahead.reach[visited, tick, j] = ahead.arrive[visited, tick, j, 0]
        ahead.most[visited, tick] = max(ahead.most[visited, tick], ahead.reach[visited, tick, j])


@njit(cache=True, nogil=True)
def _arrive_one(
    relief: Relief, point: Point, prices: Prices, ahead: Ahead, visited: int, j: int, tick: int, closes: int
) -> None:
    best, other = ahead.arrive[visited, tick, j], ahead.arrive_else[visited, tick, j]
    follow, after = ahead.follow[visited, tick, j], visited | ahead.bit[j]
    for w in range(relief.dwell.size):
        gone = tick + relief.dwell[w]
        if gone > closes or ahead.leave[after, j, w, gone] <= NEVER:
            continue
        worth = gain_at(relief, point, j, w, tick) - prices.stop
        first, second = worth + ahead.leave[after, j, w, gone], worth + ahead.leave_else[after, j, w, gone]
        following = ahead.after[after, j, w, gone]
        unit = ahead.top[j] / (SCALES - 1) * relief.factor[w, tick]
        for s in range(SCALES):
            one, two = first - unit * s, second - unit * s
            if one > best[s]:
                if following != follow[s]:
                    other[s] = best[s]
                best[s], follow[s] = one, following
            elif one > other[s] and following != follow[s]:
                other[s] = one
            other[s] = max(other[s], two)  # larger only where what follows is the same


@njit(cache=True, nogil=True)
def _leave_one(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    prices: Prices,
    point: Point,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    visited: int,
    i: int,
    tick: int,
    last: int,
    left: Left,
) -> None:
    wanted = i == last
    for w in range(relief.dwell.size):
        begun = tick - relief.dwell[w]
        wanted |= begun >= 0 and scope.begin[i, begun]
    if not wanted:
        return
    least = _leave_far(tables, relief, prices, ahead, legs, visited, i, tick, left)
    for k in range(legs.nears[i]):
        j = legs.near[i, k]
        soonest = tick + relief.quickest[i, j]
        if soonest > relief.ticks or ahead.most[visited, soonest] <= least:
            break
        leg = tables.leg[tables.slot[tick], i, j]
        there = tick + leg
        if there > legs.closes[j]:
            continue
        fare = prices.walk * leg + prices.metre * tables.length[i, j]
        if ahead.reach[visited, there, j] - fare > least:
            scale = point.overlap[i, j] / ahead.top[j] * (SCALES - 1)
            least = _leave_near(relief, ahead, visited, i, j, tick, there, fare, scale, left)
    for w in range(relief.dwell.size):
        if tick >= relief.dwell[w]:
            ahead.leave[visited, i, w, tick], ahead.leave_else[visited, i, w, tick] = left.best[w], left.other[w]
            ahead.after[visited, i, w, tick] = left.after[w]


@njit(cache=True, nogil=True)
def _leave_far(
    tables: Tables,
    relief: Relief,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    visited: int,
    i: int,
    tick: int,
    left: Left,
) -> float:
    """Begin with home and the posts that do not overlap, the same after all dwells; gives the second best."""
    first, second, following = home(tables, relief, prices, i, tick), NEVER, legs.opens.size
    for k in range(legs.fars[i]):
        j = legs.far[i, k]
        soonest = tick + relief.quickest[i, j]
        if soonest > relief.ticks or ahead.most[visited, soonest] <= second:
            break  # the others are no nearer, and nothing is worth more later
        leg = tables.leg[tables.slot[tick], i, j]
        there = tick + leg
        if there > legs.closes[j]:
            continue
        fare = prices.walk * leg + prices.metre * tables.length[i, j]
        if ahead.reach[visited, there, j] - fare > second:
            value = step_to(ahead, visited, j, there, 0.0, i) - fare
            if value > first:
                first, second, following = value, first, j
            else:
                second = max(second, value)
    for w in range(relief.dwell.size):
        left.best[w], left.other[w], left.after[w] = first, second, following
    return second


@njit(cache=True, nogil=True)
def _leave_near(
    relief: Relief,
    ahead: Ahead,
    visited: int,
    i: int,
    j: int,
    tick: int,
    there: int,
    fare: float,
    scale: float,
    left: Left,
) -> float:
    """Try a post that overlaps, after each dwell; gives the least of the second best of all dwells."""
    best, other = ahead.arrive[visited, there, j], ahead.arrive_else[visited, there, j]
    follow, reach, least = ahead.follow[visited, there, j], ahead.reach[visited, there, j] - fare, -NEVER
    for w in range(relief.dwell.size):
        begun = tick - relief.dwell[w]
        if begun >= 0 and reach > left.other[w]:
            where = min(scale * relief.factor[w, begun], SCALES - 1.0)
            value = at_scale(best, other, follow, where, i) - fare
            if value > left.best[w]:
                left.other[w], left.best[w], left.after[w] = left.best[w], value, j
            else:
                left.other[w] = max(left.other[w], value)
        least = min(least, left.other[w])
    return least
