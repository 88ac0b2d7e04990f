"""The best walk under a relaxed worth: a dynamic programme over posts, dwells and ticks, backwards in time.

A walk may come back to a post here, which only makes the bound weaker; what it is relaxed to is relaxed.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.relaxed import Point, Relief, gain_at
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
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
    price, and ``reach`` the same at price 0, ``most`` the largest of all posts;
    ``bit`` is the mark of each critical post, 0 for the others.
    """

    leave: FloatArray
    arrive: FloatArray
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
def step_to(ahead: Ahead, visited: int, post: int, tick: int, price: float) -> float:
    """Value of arriving at a post when each unit of its factor costs ``price`` for overlap."""
    top = ahead.top[post]
    if price <= 0.0 or top <= 0.0:
        return float(ahead.reach[visited, tick, post])
    where = min(price / top, 1.0) * (SCALES - 1)
    low = min(int(where), SCALES - 2)
    part = where - low
    return float(
        ahead.arrive[visited, tick, post, low] * (1 - part) + ahead.arrive[visited, tick, post, low + 1] * part
    )


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
            after = visited | ahead.bit[j]
            for s in range(SCALES):
                ahead.arrive[visited, tick, j, s] = ahead.arrive[visited, tick + 1, j, s]
            for w in range(relief.dwell.size):
                gone = tick + relief.dwell[w]
                if gone > legs.closes[j] or ahead.leave[after, j, w, gone] <= NEVER:
                    continue
                worth = gain_at(relief, point, j, w, tick) - prices.stop + ahead.leave[after, j, w, gone]
                for s in range(SCALES):
                    value = worth - ahead.top[j] * s / (SCALES - 1) * relief.factor[w, tick]
                    ahead.arrive[visited, tick, j, s] = max(ahead.arrive[visited, tick, j, s], value)
            ahead.reach[visited, tick, j] = ahead.arrive[visited, tick, j, 0]
            ahead.most[visited, tick] = max(ahead.most[visited, tick], ahead.reach[visited, tick, j])


@njit(cache=True, nogil=True)
def _leave_one(
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
    leg, reach = tables.leg[tables.slot[tick], i], ahead.reach[visited]
    best = home(tables, relief, prices, i, tick)
    for k in range(legs.fars[i]):
        j = legs.far[i, k]
        soonest = tick + relief.quickest[i, j]
        if soonest > relief.ticks or ahead.most[visited, soonest] <= best:
            break  # the others are no nearer, and nothing is worth more later
        there = tick + leg[j]
        if there <= legs.closes[j]:
            best = max(best, reach[there, j] - prices.walk * leg[j] - prices.metre * tables.length[i, j])
    for w in range(relief.dwell.size):
        begun = tick - relief.dwell[w]
        if begun < 0:
            continue
        value = best
        for k in range(legs.nears[i]):
            j = legs.near[i, k]
            soonest = tick + relief.quickest[i, j]
            if soonest > relief.ticks or ahead.most[visited, soonest] <= value:
                break
            there = tick + leg[j]
            if there > legs.closes[j]:
                continue
            fare = prices.walk * leg[j] + prices.metre * tables.length[i, j]
            if reach[there, j] - fare > value:
                price = point.overlap[i, j] * relief.factor[w, begun]
                value = max(value, step_to(ahead, visited, j, there, price) - fare)
        ahead.leave[visited, i, w, tick] = value
