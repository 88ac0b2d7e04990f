"""What of a scope can still be on a walk that matters: the best relaxed worth through each post, leg and moment.

What lies ahead of a post is pricing.py's, the given beginning forward_labels.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, Ahead, Prices
from hushwalk.planning.bound.batch import FIRST, PRICED, WIDTH, arrivals, at_price, first_arrival
from hushwalk.planning.bound.compiled import inlined, lean
from hushwalk.planning.bound.domain import Legs, Scope
from hushwalk.planning.bound.forward_labels import Behind
from hushwalk.planning.bound.relaxation import Point, Relief
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


class Sweep(NamedTuple):
    """Best relaxed worth so far, and through what it goes.

    ``come`` by post and tick of arriving where nothing overlaps, ``near`` by post, scale of the factor there and tick
    of arriving where it does; ``gone`` by post, dwell and tick of leaving; ``post`` of whole walks; ``early``
    and ``late`` the first and the last tick at which a leg is on one that matters. ``best`` is room for one of all
    dwells.
    """

    come: FloatArray
    near: FloatArray
    gone: FloatArray
    post: FloatArray
    early: IntArray
    late: IntArray
    best: FloatArray


@njit(cache=True, nogil=True)
def narrow(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    behind: Behind,
    legs: Legs,
    scope: Scope,
    last: int,
    count: int,
    floor: float,
) -> FloatArray:
    """Take out of a scope what no relaxed walk worth more than a floor goes through.

    Returns
    -------
    numpy.ndarray
        Shape (n,), best relaxed worth through each post; below the floor it need not be the best.

    Notes
    -----
    A sweep forwards meets the tables ahead; what is not worth the floor is not followed further.
    """
    n, ticks, step, first = scope.post.size, relief.ticks, min(relief.shortest, WIDTH), legs.opens[last]
    sweep = Sweep(
        np.full((n, ticks + 1), NEVER),
        np.full((n, SCALES, ticks + 1), NEVER),
        np.full((n, relief.dwell.size, ticks), NEVER),
        np.full(n, NEVER),
        np.full((n, n), ticks),
        np.full((n, n), -1),
        np.empty(step),
    )
    sweep.gone[last] = behind.value[count]
    posts, desk, done = np.full(1, last, np.int64), np.empty(FIRST * WIDTH), first
    for begin in range(first, ticks, step):
        end = min(begin + step, ticks)
        _go_far(tables, relief, prices, ahead, legs, scope, sweep, posts, begin, end, floor, desk)
        _go_near(tables, relief, point, prices, ahead, legs, scope, sweep, posts, begin, end, floor, desk)
    posts = np.flatnonzero(scope.post)
    for begin in range(first, ticks, step):
        end = min(begin + step, ticks)
        upto = max(end - relief.dwell.min(), done)
        _stop_all(relief, ahead, legs, scope, sweep, posts, done, upto, floor)
        _go_far(tables, relief, prices, ahead, legs, scope, sweep, posts, begin, end, floor, desk)
        _go_near(tables, relief, point, prices, ahead, legs, scope, sweep, posts, begin, end, floor, desk)
        done = upto
    _stop_all(relief, ahead, legs, scope, sweep, posts, done, ticks, floor)
    scope.early[:], scope.late[:] = sweep.early, sweep.late
    scope.post[:] &= sweep.post > floor
    return sweep.post


@lean
def _stop_all(
    relief: Relief,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    sweep: Sweep,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
) -> None:
    """Stop at posts at ticks from ``begin`` up to ``end``, or wait there."""
    come, near, gone, most, begins = sweep.come, sweep.near, sweep.gone, sweep.post, scope.begin
    gain, leave, bit, factor, dwell = ahead.gain, ahead.leave, ahead.bit, relief.factor, relief.dwell
    for j in posts:
        for tick in range(max(begin, legs.opens[j]), min(end, legs.closes[j] + 1)):
            if tick > 0:
                come[j, tick] = max(come[j, tick], come[j, tick - 1])
                for s in range(SCALES):
                    near[j, s, tick] = max(near[j, s, tick], near[j, s, tick - 1])
            if not begins[j, tick]:
                continue
            here = NEVER
            for w in range(dwell.size):
                after = tick + dwell[w]
                if after > legs.closes[j]:
                    continue
                where = factor[w, tick] / relief.peak * (SCALES - 1)
                low = min(int(where), SCALES - 2)
                value = near[j, low, tick] * (1 - where + low) + near[j, low + 1, tick] * (where - low)
                value = max(value, come[j, tick]) + gain[j, w, tick]
                through = value + leave[bit[j], j, w, after]
                here = max(here, through)
                if through > floor:
                    gone[j, w, after] = max(gone[j, w, after], value)
            most[j] = max(most[j], here)
            begins[j, tick] = here > floor


@lean
def _go_far(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    sweep: Sweep,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
    desk: FloatArray,
) -> None:
    """Go from posts, left at ticks from ``begin`` up to ``end``, to those that do not overlap."""
    arrive, arrive_else, follow, most = ahead.arrive, ahead.arrive_else, ahead.follow, ahead.most
    leg, quickest, length, closes, bit = relief.leg, relief.quickest, tables.length, legs.closes, ahead.bit
    far, fars, gone, come = legs.far, legs.fars, sweep.gone, sweep.come
    early, late, first_tick, last_tick = scope.early, scope.late, sweep.early, sweep.late
    steady, walk, ticks, best = tables.slot[begin] == tables.slot[end - 1], prices.walk, end - begin, sweep.best
    for i in posts:
        lead = _best_of_dwells(gone, best, i, begin, ticks)
        for k in range(fars[i] if lead > NEVER else 0):
            j = far[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relief.ticks or lead + most[bit[i], soonest] <= floor:
                break  # the others are no nearer, and nothing is worth more later
            first = first_arrival(arrive, leg, bit[i], i, j, soonest, closes[j], begin, steady, fare, walk)
            if lead + first <= floor or begin > late[i, j] or end <= early[i, j]:
                continue
            arrivals(desk, arrive, arrive_else, follow, leg, bit[i], i, j, 1, begin, ticks, steady, fare, walk)
            for t in range(ticks):
                through = best[t] + desk[t]
                if through > floor:
                    first_tick[i, j], last_tick[i, j] = min(first_tick[i, j], begin + t), begin + t
                    go = np.int64(leg[i, j, begin + t])
                    come[j, begin + t + go] = max(come[j, begin + t + go], best[t] - fare - walk * go)


@inlined
def _best_of_dwells(gone: FloatArray, best: FloatArray, i: int, begin: int, ticks: int) -> float:
    lead = NEVER
    for t in range(ticks):
        best[t] = NEVER
        for w in range(gone.shape[1]):
            best[t] = max(best[t], gone[i, w, begin + t])
        lead = max(lead, best[t])
    return lead


@lean
def _go_near(  # noqa: PLR0917 (one loop nest, compiled as a whole)
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    sweep: Sweep,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
    desk: FloatArray,
) -> None:
    """Go from posts, left at ticks from ``begin`` up to ``end``, to those that overlap."""
    arrive, arrive_else, follow, most = ahead.arrive, ahead.arrive_else, ahead.follow, ahead.most
    leg, quickest, length, closes, bit = relief.leg, relief.quickest, tables.length, legs.closes, ahead.bit
    near, nears, gone, come = legs.near, legs.nears, sweep.gone, sweep.near
    early, late, first_tick, last_tick = scope.early, scope.late, sweep.early, sweep.late
    steady, walk, ticks, best = tables.slot[begin] == tables.slot[end - 1], prices.walk, end - begin, sweep.best
    overlap, ended, top = point.overlap, relief.ended, ahead.top
    for i in posts:
        lead = _best_of_dwells(gone, best, i, begin, ticks)
        for k in range(nears[i] if lead > NEVER else 0):
            j = near[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relief.ticks or lead + most[bit[i], soonest] <= floor:
                break
            first = first_arrival(arrive, leg, bit[i], i, j, soonest, closes[j], begin, steady, fare, walk)
            if lead + first <= floor or begin > late[i, j] or end <= early[i, j]:
                continue
            arrivals(desk, arrive, arrive_else, follow, leg, bit[i], i, j, SCALES, begin, ticks, steady, fare, walk)
            for w in range(gone.shape[1]):
                at_price(desk, ended, w, begin, ticks, overlap[i, j] / top[j] * (SCALES - 1))
                for t in range(ticks):
                    through = gone[i, w, begin + t] + desk[PRICED * WIDTH + t]
                    if through > floor:
                        first_tick[i, j], last_tick[i, j] = min(first_tick[i, j], begin + t), begin + t
                        go = np.int64(leg[i, j, begin + t])
                        at, worth = begin + t + go, gone[i, w, begin + t] - fare - walk * go
                        unit = overlap[i, j] * ended[w, begin + t] * relief.peak / (SCALES - 1)
                        for s in range(SCALES):
                            come[j, s, at] = max(come[j, s, at], worth - unit * s)
