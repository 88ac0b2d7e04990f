"""What of a scope can still be on a walk that matters: the best relaxed worth through each post, leg and moment.

What lies ahead of a post is pricing.py's, the given beginning chain.py's.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.chain import Behind
from hushwalk.planning.pricing import NEVER, SCALES, Ahead, Prices, step_to
from hushwalk.planning.relaxed import Point, Relief, gain_at
from hushwalk.planning.scope import Legs, Scope
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]


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
    n, ticks, quick = scope.post.size, relief.ticks, relief.dwell.min()
    come = np.full((ticks, n, SCALES), NEVER)
    gone = np.full((n, relief.dwell.size, ticks), NEVER)
    most, best_leg = np.full(n, NEVER), np.full((n, n), NEVER)
    for tick in range(legs.opens[last], ticks):
        if quick == 0:
            _stop_all(relief, point, prices, ahead, legs, scope, come, gone, most, tick, floor)
        begun = behind.value[count]
        _push(tables, relief, point, prices, ahead, legs, come, begun, last, tick, count == 0, best_leg, floor)
        for i in range(n):
            if scope.post[i] and legs.opens[i] <= tick <= legs.closes[i]:
                _push(tables, relief, point, prices, ahead, legs, come, gone[i], i, tick, last < 0, best_leg, floor)
        if quick > 0:
            _stop_all(relief, point, prices, ahead, legs, scope, come, gone, most, tick, floor)
    for i in range(n):
        for j in range(n):
            scope.leg[i, j] &= best_leg[i, j] > floor
        scope.post[i] &= most[i] > floor
    return most


@njit(cache=True, nogil=True)
def _stop_all(  # noqa: PLR0917 (compiled code takes no keywords)
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    scope: Scope,
    come: FloatArray,
    gone: FloatArray,
    most: FloatArray,
    tick: int,
    floor: float,
) -> None:
    peak = relief.factor.max()
    for j in range(scope.post.size):
        if not scope.post[j] or tick < legs.opens[j] or tick > legs.closes[j]:
            continue
        if tick > 0:
            for s in range(SCALES):
                come[tick, j, s] = max(come[tick, j, s], come[tick - 1, j, s])
        if not scope.begin[j, tick]:
            continue
        here = NEVER
        for w in range(relief.dwell.size):
            after = tick + relief.dwell[w]
            if after > legs.closes[j] or come[tick, j, 0] <= NEVER:
                continue
            where = min(relief.factor[w, tick] / max(peak, 1e-30), 1.0) * (SCALES - 1)
            low = min(int(where), SCALES - 2)
            value = come[tick, j, low] * (1 - where + low) + come[tick, j, low + 1] * (where - low)
            value += gain_at(relief, point, j, w, tick) - prices.stop
            through = value + ahead.leave[ahead.bit[j], j, w, after]
            here = max(here, through)
            if through > floor:
                gone[j, w, after] = max(gone[j, w, after], value)
        most[j] = max(most[j], here)
        scope.begin[j, tick] = here > floor


@njit(cache=True, nogil=True)
def _push(  # noqa: C901, PLR0917 (one loop, compiled as a whole)
    tables: Tables,
    relief: Relief,
    point: Point,
    prices: Prices,
    ahead: Ahead,
    legs: Legs,
    come: FloatArray,
    value: FloatArray,
    here: int,
    tick: int,
    setting_out: bool,
    best_leg: FloatArray,
    floor: float,
) -> None:
    best, seen = NEVER, ahead.bit[here]
    for w in range(value.shape[0]):
        best = max(best, value[w, tick])
    if best <= NEVER:
        return
    for k in range(legs.fars[here]):
        j = legs.far[here, k]
        leg = tables.leg[tables.slot[tick], here, j]
        there = tick + leg
        if there <= legs.closes[j]:
            worth = best - prices.walk * leg - prices.metre * tables.length[here, j]
            if worth + ahead.reach[seen, there, j] > floor:
                through = worth + step_to(ahead, seen, j, there, 0.0, here)
                best_leg[here, j] = max(best_leg[here, j], through)
                if through > floor:
                    _come_to(come[there, j], worth, 0.0)
    for k in range(legs.nears[here]):
        j = legs.near[here, k]
        leg = tables.leg[tables.slot[tick], here, j]
        there = tick + leg
        if there > legs.closes[j]:
            continue
        fare = prices.walk * leg + prices.metre * tables.length[here, j]
        for w in range(value.shape[0]):
            worth = value[w, tick] - fare
            if worth + ahead.reach[seen, there, j] <= floor:
                continue
            factor = 0.0 if setting_out else relief.factor[w, tick - relief.dwell[w]]
            price = point.overlap[here, j] * factor
            through = worth + step_to(ahead, seen, j, there, price, here)
            best_leg[here, j] = max(best_leg[here, j], through)
            if through > floor:
                _come_to(come[there, j], worth, price * relief.factor.max() / (SCALES - 1))


@njit(cache=True, nogil=True)
def _come_to(come: FloatArray, worth: float, unit: float) -> None:
    """Arrive with a worth, less the overlap at each of the scales of the factor there."""
    for s in range(SCALES):
        come[s] = max(come[s], worth - unit * s)
