"""Several ticks worked together: what a leg gives at each, prices of overlap, and the best of many.

Ticks one after another lie side by side, as a processor works numbers best. Indices are unsigned and arrays come one
by one here: otherwise the compiler looks for indices from the end, and counts who holds an array.
"""

import numpy as np
from numpy.typing import NDArray

from hushwalk.planning.ahead import SCALES
from hushwalk.planning.compiled import inlined

FloatArray = NDArray[np.float64]
SmallArray = NDArray[np.int16]


@inlined
def arrivals(  # noqa: PLR0917 (compiled code takes no keywords)
    arrive: FloatArray,
    arrive_else: FloatArray,
    follow: SmallArray,
    visited: int,
    before: int,
    j: int,
    scale: int,
    there: int,
    ticks: int,
    cost: float,
    value: FloatArray,
    row: int,
) -> None:
    """Fill a row of values: arriving at j, at a scale of the overlap price, at ticks from ``there`` on."""
    at = np.uint64(there)
    for t in range(np.uint64(ticks)):
        most, other = arrive[visited, j, scale, at + t], arrive_else[visited, j, scale, at + t]
        value[row, t] = (other if follow[visited, j, scale, at + t] == before else most) - cost


@inlined
def arrivals_in_dark(  # noqa: PLR0917 (compiled code takes no keywords)
    arrive: FloatArray,
    arrive_else: FloatArray,
    follow: SmallArray,
    leg: SmallArray,
    visited: int,
    before: int,
    j: int,
    scale: int,
    begin: int,
    ticks: int,
    fare: float,
    walk: float,
    value: FloatArray,
    row: int,
) -> None:
    """Fill the same row by ticks of leaving from ``begin`` on, where a leg differs from tick to tick."""
    for t in range(ticks):
        go = np.int64(leg[before, j, begin + t])
        there = min(begin + t + go, arrive.shape[3] - 1)
        most, other = arrive[visited, j, scale, there], arrive_else[visited, j, scale, there]
        value[row, t] = (other if follow[visited, j, scale, there] == before else most) - fare - walk * go


@inlined
def at_price(
    value: FloatArray, one: FloatArray, ended: FloatArray, dwell: int, begin: int, ticks: int, scale: float
) -> None:
    """Fill in the values after stops of a dwell from rows of values at the scales of the overlap price.

    What is ahead falls ever less steeply with the price, so that the chord is the largest of the three lines.
    """
    at = np.uint64(begin)
    for t in range(np.uint64(ticks)):
        where = min(scale * ended[dwell, at + t], SCALES - 1.0)
        first = value[0, t] + (value[1, t] - value[0, t]) * where
        second = value[1, t] + (value[2, t] - value[1, t]) * (where - 1.0)
        third = value[2, t] + (value[3, t] - value[2, t]) * (where - 2.0)
        one[0, t] = max(first, second, third)


@inlined
def keep_best(
    value: FloatArray,
    best: FloatArray,
    other: FloatArray,
    after: SmallArray,
    visited: int,
    i: int,
    dwell: int,
    begin: int,
    ticks: int,
    j: int,
) -> float:
    """Keep the best and the second best of leaving i, row 0 being what j gives; gives the least of the second best."""
    at, to = np.uint64(begin), np.int16(j)
    for t in range(np.uint64(ticks)):
        now, most, kept = value[0, t], best[visited, i, dwell, at + t], other[visited, i, dwell, at + t]
        was, better = after[visited, i, dwell, at + t], now > most
        less = most if better else now
        other[visited, i, dwell, at + t] = less if less > kept else kept  # noqa: FURB136 (compiled to fewer steps)
        after[visited, i, dwell, at + t] = to if better else was
        best[visited, i, dwell, at + t] = now if better else most
    least = other[visited, i, dwell, at]
    for t in range(np.uint64(ticks)):
        least = min(least, other[visited, i, dwell, at + t])
    return float(least)
