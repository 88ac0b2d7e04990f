"""Which posts can still be on a walk that matters: the best relaxed worth through each of them.

What lies ahead of a post is pricing.py's, the given beginning chain.py's.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.chain import Behind
from hushwalk.planning.pricing import NEVER, SCALES, Ahead, Legs, Prices
from hushwalk.planning.relaxed import Point, Relief, gain_at
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@njit(cache=True, nogil=True)
def best_through(
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    behind: Behind,
    legs: Legs,
    alive: BoolArray,
    last: int,
    count: int,
) -> FloatArray:
    """Best relaxed worth of the walks through each post, shape (n,): a sweep forwards meets the tables ahead."""
    n, ticks, quick = alive.size, relief.ticks, relief.dwell.min()
    come = np.full((ticks, n, SCALES), NEVER)
    gone = np.full((n, relief.dwell.size, ticks), NEVER)
    most = np.full(n, NEVER)
    for tick in range(legs.opens[last], ticks):
        if quick == 0:
            _stop_all(relief, point, prices, ahead, legs, alive, come, gone, most, tick)
        _push(tables, relief, point, prices, legs, come, behind.value[count], last, tick, count == 0)
        for i in range(n):
            if alive[i] and legs.opens[i] <= tick <= legs.closes[i]:
                _push(tables, relief, point, prices, legs, come, gone[i], i, tick, last < 0)
        if quick > 0:
            _stop_all(relief, point, prices, ahead, legs, alive, come, gone, most, tick)
    return most


@njit(cache=True, nogil=True)
def _stop_all(
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    alive: BoolArray,
    come: FloatArray,
    gone: FloatArray,
    most: FloatArray,
    tick: int,
) -> None:
    peak = relief.factor.max()
    for j in range(alive.size):
        if not alive[j] or tick < legs.opens[j] or tick > legs.closes[j]:
            continue
        for s in range(SCALES):
            if tick > 0:
                come[tick, j, s] = max(come[tick, j, s], come[tick - 1, j, s])
        if come[tick, j, 0] <= NEVER:
            continue
        for w in range(relief.dwell.size):
            after = tick + relief.dwell[w]
            if after > legs.closes[j]:
                continue
            where = min(relief.factor[w, tick] / max(peak, 1e-30), 1.0) * (SCALES - 1)
            low = min(int(where), SCALES - 2)
            value = come[tick, j, low] * (1 - where + low) + come[tick, j, low + 1] * (where - low)
            value += gain_at(relief, point, j, w, tick) - prices.stop
            gone[j, w, after] = max(gone[j, w, after], value)
            most[j] = max(most[j], value + ahead.leave[ahead.bit[j], j, w, after])


@njit(cache=True, nogil=True)
def _push(  # noqa: C901 (one loop, compiled as a whole)
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    legs: Legs,
    come: FloatArray,
    value: FloatArray,
    here: int,
    tick: int,
    setting_out: bool,
) -> None:
    leg, peak, best = tables.leg[tables.slot[tick], here], relief.factor.max(), NEVER
    for w in range(value.shape[0]):
        best = max(best, value[w, tick])
    if best <= NEVER:
        return
    for k in range(legs.fars[here]):
        j = legs.far[here, k]
        there = tick + leg[j]
        if there <= legs.closes[j]:
            worth = best - prices.walk * leg[j] - prices.metre * tables.length[here, j]
            for s in range(SCALES):
                come[there, j, s] = max(come[there, j, s], worth)
    for k in range(legs.nears[here]):
        j = legs.near[here, k]
        there = tick + leg[j]
        if there > legs.closes[j]:
            continue
        fare = prices.walk * leg[j] + prices.metre * tables.length[here, j]
        for w in range(value.shape[0]):
            if value[w, tick] <= NEVER:
                continue
            factor = 0.0 if setting_out else relief.factor[w, tick - relief.dwell[w]]
            for s in range(SCALES):
                price = point.overlap[here, j] * factor * peak * s / (SCALES - 1)
                come[there, j, s] = max(come[there, j, s], value[w, tick] - fare - price)
