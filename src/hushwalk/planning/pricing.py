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
NEVER = -1e30  # definition: worse than any walk


class Prices(NamedTuple):
    """Prices of what is limited: a tick from leaving to being back, a stop, a tick on foot, a metre."""

    tick: float
    stop: float
    walk: float
    metre: float


class Ahead(NamedTuple):
    """Best relaxed worth ahead: by post, dwell and tick of leaving; by post, tick of arriving and overlap price."""

    leave: FloatArray
    arrive: FloatArray
    top: FloatArray


@njit(cache=True, nogil=True)
def home(tables: Tables, relief: Relief, prices: Prices, post: int, tick: int) -> float:
    """Value of going to the end from a post at a tick."""
    leg = tables.leg[tables.slot[tick], post, tables.end]
    if tick + leg >= relief.ticks:
        return NEVER
    return float(-prices.tick * (tick + leg) - prices.walk * leg - prices.metre * tables.length[post, tables.end])


@njit(cache=True, nogil=True)
def step_to(ahead: Ahead, post: int, tick: int, price: float) -> float:
    """Value of arriving at a post when each unit of its factor costs ``price`` for overlap."""
    top = ahead.top[post]
    if price <= 0.0 or top <= 0.0:
        return float(ahead.arrive[post, tick, 0])
    where = min(price / top, 1.0) * (SCALES - 1)
    low = min(int(where), SCALES - 2)
    part = where - low
    return float(ahead.arrive[post, tick, low] * (1 - part) + ahead.arrive[post, tick, low + 1] * part)


@njit(cache=True, nogil=True)
def look_ahead(  # noqa: C901 (one loop nest, compiled as a whole)
    tables: Tables, relief: Relief, point: Point, prices: Prices, alive: BoolArray, last: int, first_tick: int
) -> Ahead:
    """Fill the tables of what can still be gained by posts that are alive, from a first tick on."""
    n, dwells, ticks = alive.size, relief.dwell.size, relief.ticks
    leave = np.full((n, dwells, ticks), NEVER)
    arrive = np.full((n, ticks + 1, SCALES), NEVER)
    top, peak = np.zeros(n), relief.factor.max()
    near = np.zeros((n, n), np.int64)
    far = np.zeros((n, n), np.int64)
    nears, fars = np.zeros(n, np.int64), np.zeros(n, np.int64)
    opens, closes = np.zeros(n, np.int64), np.zeros(n, np.int64)
    for i in range(n):
        opens[i] = first_tick + relief.quickest[last, i]
        closes[i] = ticks - 1 - relief.quickest[i, tables.end]
    for i in range(n):
        if not (alive[i] or i == last) or opens[i] > closes[i]:
            continue
        for j in range(n):
            if not alive[j] or j == i or tables.clash[i, j] or opens[j] > closes[j]:
                continue
            if point.overlap[i, j] > 0:
                near[i, nears[i]] = j
                nears[i] += 1
                top[j] = max(top[j], point.overlap[i, j] * peak)
            else:
                far[i, fars[i]] = j
                fars[i] += 1
    ahead = Ahead(leave, arrive, top)
    quick = relief.dwell.min()
    for tick in range(ticks - 1, first_tick - 1, -1):
        if quick > 0:
            _arrive_all(relief, point, prices, ahead, alive, opens, closes, tick)
        for i in range(n):
            if (alive[i] or i == last) and (tick >= opens[i] or i == last) and tick <= closes[i]:
                _leave_one(
                    tables, relief, point, prices, ahead, i, tick, near[i, : nears[i]], far[i, : fars[i]], closes
                )
        if quick == 0:
            _arrive_all(relief, point, prices, ahead, alive, opens, closes, tick)
    return ahead


@njit(cache=True, nogil=True)
def _arrive_all(
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    alive: BoolArray,
    opens: IntArray,
    closes: IntArray,
    tick: int,
) -> None:
    for j in range(alive.size):
        if not alive[j] or tick < opens[j] or tick > closes[j]:
            continue
        for s in range(SCALES):
            ahead.arrive[j, tick, s] = ahead.arrive[j, tick + 1, s]
        for w in range(relief.dwell.size):
            gone = tick + relief.dwell[w]
            if gone > closes[j] or ahead.leave[j, w, gone] <= NEVER:
                continue
            worth = gain_at(relief, point, j, w, tick) - prices.stop + ahead.leave[j, w, gone]
            for s in range(SCALES):
                value = worth - ahead.top[j] * s / (SCALES - 1) * relief.factor[w, tick]
                ahead.arrive[j, tick, s] = max(ahead.arrive[j, tick, s], value)


@njit(cache=True, nogil=True)
def _leave_one(
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    i: int,
    tick: int,
    near: IntArray,
    far: IntArray,
    closes: IntArray,
) -> None:
    legs = tables.leg[tables.slot[tick], i]
    best = home(tables, relief, prices, i, tick)
    for j in far:
        there = tick + legs[j]
        if there <= closes[j]:
            value = ahead.arrive[j, there, 0] - prices.walk * legs[j] - prices.metre * tables.length[i, j]
            best = max(best, value)
    for w in range(relief.dwell.size):
        begun = tick - relief.dwell[w]
        if begun < 0:
            continue
        value = best
        for j in near:
            there = tick + legs[j]
            if there <= closes[j]:
                bare = ahead.arrive[j, there, 0] - prices.walk * legs[j] - prices.metre * tables.length[i, j]
                if bare > value:
                    price = point.overlap[i, j] * relief.factor[w, begun]
                    less = step_to(ahead, j, there, price) - ahead.arrive[j, there, 0] + bare
                    value = max(value, less)
        ahead.leave[i, w, tick] = value
