"""Leaving posts at a few ticks: which post, or home, is best to go to then.

The ticks of one leg are lanes.py's.
"""

import numpy as np
from numpy.typing import NDArray

from hushwalk.planning.ahead import NEVER, SCALES, Ahead, Prices, home
from hushwalk.planning.compiled import lean
from hushwalk.planning.lanes import arrivals, arrivals_in_dark, at_price, keep_best
from hushwalk.planning.relaxed import Point, Relief
from hushwalk.planning.scope import Legs
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@lean
def leave_for_home(
    tables: Tables, relief: Relief, prices: Prices, ahead: Ahead, visited: int, posts: IntArray, begin: int, end: int
) -> None:
    """Fill in leaving posts for home at ticks from ``begin`` up to ``end``, after every dwell."""
    leave, leave_else, after, n = ahead.leave, ahead.leave_else, ahead.after, ahead.bit.size
    for i in posts:
        for tick in range(begin, end):
            value = home(tables, relief, prices, i, tick)
            for w in range(relief.dwell.size):
                leave[visited, i, w, tick], leave_else[visited, i, w, tick] = value, NEVER
                after[visited, i, w, tick] = n


@lean
def leave_for_far(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
    one: FloatArray,
    least: FloatArray,
) -> None:
    """Try the posts that do not overlap, the same after all dwells; ``least`` of the second best is filled in."""
    arrive, arrive_else, follow, most = ahead.arrive, ahead.arrive_else, ahead.follow, ahead.most
    leave, leave_else, after = ahead.leave, ahead.leave_else, ahead.after
    leg, quickest, length, closes = relief.leg, relief.quickest, tables.length, legs.closes
    steady = tables.slot[begin] == tables.slot[end - 1]
    far, fars, walk, ticks, dwells = legs.far, legs.fars, prices.walk, end - begin, relief.dwell.size
    for i in posts:
        least[i] = NEVER
        for k in range(fars[i]):
            j = far[i, k]
            there, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if there >= relief.ticks or most[visited, there] <= least[i]:
                break  # the others are no nearer, and nothing is worth more later
            if steady:
                there = begin + np.int64(leg[i, j, begin])
            cost = fare + walk * (there - begin)
            if there > closes[j] or arrive[visited, j, 0, there] - cost <= least[i]:
                continue
            if steady:
                arrivals(arrive, arrive_else, follow, visited, i, j, 0, there, ticks, cost, one, 0)
            else:
                arrivals_in_dark(arrive, arrive_else, follow, leg, visited, i, j, 0, begin, ticks, fare, walk, one, 0)
            least[i] = keep_best(one, leave, leave_else, after, visited, i, 0, begin, ticks, j)
        for w in range(1, dwells):
            for tick in range(begin, end):
                leave[visited, i, w, tick] = leave[visited, i, 0, tick]
                leave_else[visited, i, w, tick] = leave_else[visited, i, 0, tick]
                after[visited, i, w, tick] = after[visited, i, 0, tick]


@lean
def leave_for_near(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    prices: Prices,
    point: Point,
    ahead: Ahead,
    legs: Legs,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
    value: FloatArray,
    one: FloatArray,
    least: FloatArray,
) -> None:
    """Try the posts that overlap, after each dwell."""
    arrive, arrive_else, follow, most = ahead.arrive, ahead.arrive_else, ahead.follow, ahead.most
    leave, leave_else, after, top = ahead.leave, ahead.leave_else, ahead.after, ahead.top
    leg, quickest, length, closes = relief.leg, relief.quickest, tables.length, legs.closes
    steady = tables.slot[begin] == tables.slot[end - 1]
    near, nears, walk, ticks, dwells = legs.near, legs.nears, prices.walk, end - begin, relief.dwell.size
    overlap, ended = point.overlap, relief.ended
    for i in posts:
        for k in range(nears[i]):
            j = near[i, k]
            there, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if there >= relief.ticks or most[visited, there] <= least[i]:
                break
            if steady:
                there = begin + np.int64(leg[i, j, begin])
            cost = fare + walk * (there - begin)
            if there > closes[j] or arrive[visited, j, 0, there] - cost <= least[i]:
                continue
            for s in range(SCALES):
                if steady:
                    arrivals(arrive, arrive_else, follow, visited, i, j, s, there, ticks, cost, value, s)
                else:
                    arrivals_in_dark(
                        arrive, arrive_else, follow, leg, visited, i, j, s, begin, ticks, fare, walk, value, s
                    )
            scale, least[i] = overlap[i, j] / top[j] * (SCALES - 1), -NEVER
            for w in range(dwells):
                at_price(value, one, ended, w, begin, ticks, scale)
                less = keep_best(one, leave, leave_else, after, visited, i, w, begin, ticks, j)
                least[i] = min(least[i], less)
