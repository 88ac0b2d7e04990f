"""The best walk under a relaxed worth: a dynamic programme over posts, dwells and ticks, backwards in time.

A walk may come back to a post here, though never by way of one other post only; what its worth is relaxed to is
relaxed.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.relaxed import Point, Relief, gain_at
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
SmallArray = NDArray[np.int16]
BoolArray = NDArray[np.bool_]
SCALES = 4  # judgement: overlap prices between two of four are bounded by the chord
SLIGHT = (
    1e-4  # judgement: leaving out an overlap smaller than this share of the best gain raises the bound by as little
)
NEVER = -1e30  # definition: worse than any walk


class Prices(NamedTuple):
    """Prices of what is limited: a tick from leaving to being back, a stop, a tick on foot, a metre."""

    tick: float
    stop: float
    walk: float
    metre: float


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
def step_to(ahead: Ahead, visited: int, post: int, tick: int, price: float, before: int) -> float:
    """Value of arriving at a post from the post ``before`` when each unit of its factor costs ``price`` for overlap."""
    top = ahead.top[post]
    where = 0.0 if price <= 0.0 or top <= 0.0 else min(price / top, 1.0) * (SCALES - 1)
    low = min(int(where), SCALES - 2)
    part, follow = where - low, ahead.follow[visited, tick, post]
    value = ahead.arrive_else[visited, tick, post, low]
    if follow[low] != before:
        value = ahead.arrive[visited, tick, post, low]
    if part <= 0.0:
        return float(value)
    other = ahead.arrive_else[visited, tick, post, low + 1]
    if follow[low + 1] != before:
        other = ahead.arrive[visited, tick, post, low + 1]
    return float(value * (1 - part) + other * part)


class Legs(NamedTuple):
    """Which posts follow which, apart by whether they overlap, and when each can be entered and left."""

    near: IntArray
    nears: IntArray
    far: IntArray
    fars: IntArray
    opens: IntArray
    closes: IntArray


@njit(cache=True, nogil=True)
def legs_of(
    tables: Tables, relief: Relief, point: Point, alive: BoolArray, last: int, first_tick: int
) -> tuple[Legs, FloatArray]:
    """Sort out the legs between posts that are alive, and the highest overlap price of each post."""
    n, ticks, peak = alive.size, relief.ticks, relief.factor.max()
    near, far = np.zeros((n, n), np.int64), np.zeros((n, n), np.int64)
    nears, fars, top = np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n)
    opens, closes = np.zeros(n, np.int64), np.zeros(n, np.int64)
    for i in range(n):
        opens[i] = first_tick + relief.quickest[last, i]
        closes[i] = ticks - 1 - relief.quickest[i, tables.end]
    opens[last] = first_tick
    least = SLIGHT * point.gain.max()
    for i in range(n):
        if not (alive[i] or i == last) or opens[i] > closes[i]:
            continue
        for j in range(n):
            if not alive[j] or j == i or tables.clash[i, j] or opens[j] > closes[j]:
                continue
            if point.overlap[i, j] > least:
                near[i, nears[i]] = j
                nears[i] += 1
                top[j] = max(top[j], point.overlap[i, j] * peak)
            else:
                far[i, fars[i]] = j
                fars[i] += 1
        order = np.argsort(relief.quickest[i][far[i, : fars[i]]])
        far[i, : fars[i]] = far[i, : fars[i]][order]
        order = np.argsort(relief.quickest[i][near[i, : nears[i]]])
        near[i, : nears[i]] = near[i, : nears[i]][order]
    return Legs(near, nears, far, fars, opens, closes), top


@njit(cache=True, nogil=True)
def look_ahead(
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    legs: Legs,
    top: FloatArray,
    alive: BoolArray,
    last: int,
    critical: IntArray,
) -> Ahead:
    """Fill the tables of what can still be gained by posts that are alive, critical ones at most once."""
    n, ticks, sets = alive.size, relief.ticks, 1 << critical.size
    bit = np.zeros(n, np.int64)
    for k in range(critical.size):
        bit[critical[k]] = 1 << k
    ahead = Ahead(
        np.full((sets, n, relief.dwell.size, ticks), NEVER),
        np.full((sets, n, relief.dwell.size, ticks), n, np.int16),
        np.full((sets, n, relief.dwell.size, ticks), NEVER),
        np.full((sets, ticks + 1, n, SCALES), NEVER),
        np.full((sets, ticks + 1, n, SCALES), n, np.int16),
        np.full((sets, ticks + 1, n, SCALES), NEVER),
        np.full((sets, ticks + 1, n), NEVER),
        np.full((sets, ticks + 1), NEVER),
        top,
        bit,
    )
    quick = relief.dwell.min()
    for tick in range(ticks - 1, legs.opens[last] - 1, -1):
        if quick > 0:
            _arrive_all(relief, point, prices, ahead, legs, alive, tick)
        for i in range(n):
            if (alive[i] or i == last) and legs.opens[i] <= tick <= legs.closes[i]:
                for visited in range(sets):
                    if visited & bit[i] == bit[i]:
                        _leave_one(tables, relief, point, prices, ahead, legs, visited, i, tick)
        if quick == 0:
            _arrive_all(relief, point, prices, ahead, legs, alive, tick)
    return ahead


@njit(cache=True, nogil=True)
def _arrive_all(
    relief: Relief, point: Point, prices: Prices, ahead: Ahead, legs: Legs, alive: BoolArray, tick: int
) -> None:
    for visited in range(ahead.leave.shape[0]):
        ahead.most[visited, tick] = ahead.most[visited, tick + 1]
    for j in range(alive.size):
        if not alive[j] or tick < legs.opens[j] or tick > legs.closes[j]:
            continue
        for visited in range(ahead.leave.shape[0]):
            if visited & ahead.bit[j]:
                continue
            _arrive_one(relief, point, prices, ahead, visited, j, tick, legs.closes[j])
            ahead.reach[visited, tick, j] = ahead.arrive[visited, tick, j, 0]
            ahead.most[visited, tick] = max(ahead.most[visited, tick], ahead.reach[visited, tick, j])


@njit(cache=True, nogil=True)
def _arrive_one(
    relief: Relief, point: Point, prices: Prices, ahead: Ahead, visited: int, j: int, tick: int, closes: int
) -> None:
    best, other = ahead.arrive[visited, tick, j], ahead.arrive_else[visited, tick, j]
    follow = ahead.follow[visited, tick, j]
    best[:], follow[:] = ahead.arrive[visited, tick + 1, j], ahead.follow[visited, tick + 1, j]
    other[:] = ahead.arrive_else[visited, tick + 1, j]
    after = visited | ahead.bit[j]
    for w in range(relief.dwell.size):
        gone = tick + relief.dwell[w]
        if gone > closes or ahead.leave[after, j, w, gone] <= NEVER:
            continue
        worth = gain_at(relief, point, j, w, tick) - prices.stop
        first, second = worth + ahead.leave[after, j, w, gone], worth + ahead.leave_else[after, j, w, gone]
        following = ahead.after[after, j, w, gone]
        for s in range(SCALES):
            less = ahead.top[j] * s / (SCALES - 1) * relief.factor[w, tick]
            if first - less > best[s]:
                if following != follow[s]:
                    other[s] = best[s]
                best[s], follow[s] = first - less, following
            elif following != follow[s] and first - less > other[s]:
                other[s] = first - less
            other[s] = max(other[s], second - less)  # larger only where what follows is the same


@njit(cache=True, nogil=True)
def _leave_one(  # noqa: C901, PLR0912 (one loop over what follows, compiled as a whole)
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    visited: int,
    i: int,
    tick: int,
) -> None:
    leg, n = tables.leg[tables.slot[tick], i], legs.opens.size
    first, second, following = home(tables, relief, prices, i, tick), NEVER, n
    for k in range(legs.fars[i]):
        j = legs.far[i, k]
        soonest = tick + relief.quickest[i, j]
        if soonest > relief.ticks or ahead.most[visited, soonest] <= second:
            break  # the others are no nearer, and nothing is worth more later
        there = tick + leg[j]
        if there > legs.closes[j]:
            continue
        fare = prices.walk * leg[j] + prices.metre * tables.length[i, j]
        if ahead.reach[visited, there, j] - fare > second:
            value = step_to(ahead, visited, j, there, 0.0, i) - fare
            if value > first:
                first, second, following = value, first, j
            else:
                second = max(second, value)
    for w in range(relief.dwell.size):
        begun = tick - relief.dwell[w]
        if begun < 0:
            continue
        best, other, after = first, second, following
        for k in range(legs.nears[i]):
            j = legs.near[i, k]
            soonest = tick + relief.quickest[i, j]
            if soonest > relief.ticks or ahead.most[visited, soonest] <= other:
                break
            there = tick + leg[j]
            if there > legs.closes[j]:
                continue
            fare = prices.walk * leg[j] + prices.metre * tables.length[i, j]
            if ahead.reach[visited, there, j] - fare > other:
                price = point.overlap[i, j] * relief.factor[w, begun]
                value = step_to(ahead, visited, j, there, price, i) - fare
                if value > best:
                    best, other, after = value, best, j
                else:
                    other = max(other, value)
        ahead.leave[visited, i, w, tick], ahead.leave_else[visited, i, w, tick] = best, other
        ahead.after[visited, i, w, tick] = after
