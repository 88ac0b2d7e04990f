"""Adding stops to a route by gain for time, and dropping them until it fits.

What to tear out before, and whether to keep the outcome, is improve.py's.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.clock import arrival, excess, factor_at, run_clock
from hushwalk.planning.dice import Dice, roll
from hushwalk.planning.tables import Tables
from hushwalk.planning.worth import forget, gain_if_on, judge, route_worth

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
TINY_S = 1.0  # judgement: a stop that costs no time is still compared by a second


@njit(cache=True)
def insert_stop(stops: IntArray, waits: FloatArray, count: int, place: int, post: int, dwell: int) -> int:
    """Put a stop before position ``place``; gives the new count."""
    for k in range(count, place, -1):
        stops[0, k], stops[1, k], waits[k + 1] = stops[0, k - 1], stops[1, k - 1], waits[k]
    stops[0, place], stops[1, place], waits[place + 1] = post, dwell, 0.0
    return count + 1


@njit(cache=True)
def remove_stop(stops: IntArray, waits: FloatArray, count: int, place: int) -> int:
    """Take out the stop at position ``place``; gives the new count."""
    for k in range(place, count - 1):
        stops[0, k], stops[1, k], waits[k + 1] = stops[0, k + 1], stops[1, k + 1], waits[k + 2]
    return count - 1


@njit(cache=True)
def open_posts(tables: Tables, stops: IntArray, count: int) -> BoolArray:
    """Which posts may still be added to a route."""
    can = tables.usable.copy()
    for k in range(count):
        can[stops[0, k]] = False
        for j in range(can.size):
            if tables.clash[stops[0, k], j]:
                can[j] = False
    return can


@njit(cache=True)
def best_place(
    tables: Tables, stops: IntArray, begin: FloatArray, count: int, leave: float, post: int, gain: float, alpha: float
) -> tuple[float, int, int, float]:
    """Best position and dwell of a post: gain to the power alpha for the time it costs."""
    best, place, choice, cost = -1.0, 0, 0, 0.0
    for k in range(count + 1):
        here = tables.start if k == 0 else stops[0, k - 1]
        there = tables.end if k == count else stops[0, k]
        clock = leave if k == 0 else begin[k - 1] + tables.dwell[stops[1, k - 1]]
        arrive = arrival(tables, here, post, clock)
        if arrive > tables.latest:
            continue
        direct = arrival(tables, here, there, clock)
        for w in range(tables.dwell.size):
            added = arrival(tables, post, there, arrive + tables.dwell[w]) - direct
            worth = (gain * factor_at(tables, w, arrive)) ** alpha / max(added, TINY_S)
            if worth > best:
                best, place, choice, cost = worth, k, w, added
    return best, place, choice, cost


@njit(cache=True)
def fill(
    tables: Tables,
    stops: IntArray,
    waits: FloatArray,
    count: int,
    begin: FloatArray,
    missed: FloatArray,
    alpha: float,
    slack: float,
    dice: Dice,
) -> int:
    """Add stops while they fit into the limits stretched by ``slack`` [s]; gives the new count."""
    can = open_posts(tables, stops, count)
    while count < min(tables.max_stops, stops.shape[1] - 1):
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        room = slack - excess(tables, waits, count, back, walk, length)
        route_worth(tables, stops, begin, count, missed)
        best, post, place, choice = 0.0, -1, 0, 0
        for j in range(can.size):
            gain = gain_if_on(tables, j, missed) if can[j] else 0.0
            if gain <= 0.0 and not (can[j] and tables.must[j]):
                continue
            ratio, k, w, cost = best_place(tables, stops, begin, count, tables.earliest + waits[0], j, gain, alpha)
            ratio = ratio * (0.8 + 0.4 * roll(dice)) + (1e9 if tables.must[j] else 0.0)
            if cost <= room and ratio > best:
                best, post, place, choice = ratio, j, k, w
        forget(tables, stops, count, missed)
        if post < 0:
            break
        can[post] = False
        count = insert_stop(stops, waits, count, place, post, choice)
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) > slack:
            count = remove_stop(stops, waits, count, place)
            continue
        for j in range(can.size):
            can[j] = can[j] and not tables.clash[post, j]
    return count


@njit(cache=True)
def drop(tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray, missed: FloatArray) -> int:
    """Drop the stops worth least for their time until every limit is kept; gives the new count."""
    trial_stops, trial_waits = stops.copy(), waits.copy()
    while count > 0:
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) <= 0:
            break
        worth = route_worth(tables, stops, begin, count, missed)
        forget(tables, stops, count, missed)
        least, place = np.inf, count - 1
        for k in range(count):
            trial_stops[:, :count], trial_waits[: count + 1] = stops[:, :count], waits[: count + 1]
            fewer = remove_stop(trial_stops, trial_waits, count, k)
            earlier, _walk, _length = run_clock(tables, trial_stops, trial_waits, fewer, begin)
            left = route_worth(tables, trial_stops, begin, fewer, missed)
            forget(tables, trial_stops, fewer, missed)
            ratio = (worth - left) / max(back - earlier, TINY_S) + (1e9 if tables.must[stops[0, k]] else 0.0)
            if ratio < least:
                least, place = ratio, k
        count = remove_stop(stops, waits, count, place)
    return count


@njit(cache=True)
def keeps_must(tables: Tables, stops: IntArray, count: int) -> bool:
    """Whether every post that must be visited is on the route."""
    found = 0
    for k in range(count):
        found += 1 if tables.must[stops[0, k]] else 0
    return bool(found == tables.must.sum())


@njit(cache=True)
def value(
    tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray, missed: FloatArray
) -> tuple[float, float]:
    """Worth and clock on being back; -1 where a limit is broken or a post that must be visited is missing."""
    worth, back = judge(tables, stops, waits, count, begin, missed)
    return (worth if keeps_must(tables, stops, count) else -1.0), back
