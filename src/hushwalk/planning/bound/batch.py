"""Several ticks worked together: what a leg gives at each, prices of overlap, and the best of many.

Ticks one after another lie side by side, as a processor works numbers best. The workspace holds rows of WIDTH numbers:
the first SCALES for values at the scales of the overlap price, the next for values at one price,
then three for each dwell, the best, the second best, and what follows the best. Indices are unsigned, for otherwise
the compiler looks for some that count from the end.
"""

import numpy as np

from hushwalk.planning.bound.backward_labels import NEVER, SCALES
from hushwalk.planning.bound.compiled import inlined
from hushwalk.types import FloatArray, SmallArray

WIDTH = 16  # judgement: more ticks at a time than the shortest leg and dwell mostly take
PRICED = SCALES  # definition: the row after the scales
FIRST = SCALES + 1  # definition: the row where the dwells begin


@inlined
def chord(free: float, low: float, high: float, full: float, where: float) -> float:
    """Value at an overlap price between the scales, on the chord.

    What is ahead falls ever less steeply with the price, so that the chord is the largest of the three lines.

    Parameters
    ----------
    free : value without overlap.
    low : value at the lower scale, or the first position.
    high : value at the upper scale, or the last position.
    full : value at the highest scale.
    where : price in scales.

    Returns
    -------
    float
        Never below the true value, which is convex in the price.
    """
    first = free + (low - free) * where
    second = low + (high - low) * (where - 1.0)
    third = high + (full - high) * (where - 2.0)
    return max(first, second, third)


@inlined
def first_arrival(  # noqa: PLR0917 (compiled code takes no keywords)
    arrive: FloatArray,
    leg: SmallArray,
    visited: int,
    i: int,
    j: int,
    soonest: int,
    closes: int,
    begin: int,
    shared: bool,
    fare: float,
    walk: float,
) -> float:
    """Bound what going from i to j gives at ticks from ``begin`` on: no overlap, and all arrive as the first does.

    Parameters
    ----------
    arrive : labels of arriving.
    leg : shape (n, n, ticks), legs by when they begin [ticks].
    visited : set of critical posts visited, as bits.
    i : index of the post that is left.
    j : index of the post that follows.
    soonest : first tick at which one can be there.
    closes : last tick at which the post can be left.
    begin : first tick.
    shared : targets that posts share.
    fare : price of the metres of the leg.
    walk : price of a tick on foot.

    Returns
    -------
    float
        NEVER where the post cannot be left in time.
    """
    there, value = begin + int(leg[i, j, begin]) if shared else soonest, NEVER
    if there <= closes:
        value = arrive[visited, j, 0, there] - fare - walk * (there - begin)
    return float(value)


@inlined
def arrivals(  # noqa: PLR0917 (compiled code takes no keywords)
    workspace: FloatArray,
    arrive: FloatArray,
    arrive_else: FloatArray,
    follow: SmallArray,
    leg: SmallArray,
    visited: int,
    i: int,
    j: int,
    scales: int,
    begin: int,
    ticks: int,
    shared: bool,
    fare: float,
    walk: float,
) -> None:
    """Fill the rows of the first scales: going from i to j at ticks from ``begin`` on.

    In the dark a leg may differ from tick to tick; where all share one slot (``shared``), arrivals lie side by side.

    Parameters
    ----------
    workspace : rows of WIDTH numbers, changed in place.
    arrive : labels of arriving.
    arrive_else : labels of arriving with another post following.
    follow : post that follows on the walk of each label.
    leg : shape (n, n, ticks), legs by when they begin [ticks].
    visited : set of critical posts visited, as bits.
    i : index of the post that is left.
    j : index of the post that follows.
    scales : how many of the scales to fill.
    begin : first tick.
    ticks : how many ticks at a time.
    shared : targets that posts share.
    fare : price of the metres of the leg.
    walk : price of a tick on foot.
    """
    go = int(leg[i, j, begin])
    at, cost = np.uint64(begin + go), fare + walk * go
    for scale in range(scales):
        row = np.uint64(scale * WIDTH)
        if shared:
            for t in range(np.uint64(ticks)):
                most, other = arrive[visited, j, scale, at + t], arrive_else[visited, j, scale, at + t]
                workspace[row + t] = (other if follow[visited, j, scale, at + t] == i else most) - cost
        else:
            for tick in range(begin, begin + ticks):
                go = int(leg[i, j, tick])
                there = min(tick + go, arrive.shape[3] - 1)
                most, other = arrive[visited, j, scale, there], arrive_else[visited, j, scale, there]
                value = (other if follow[visited, j, scale, there] == i else most) - fare - walk * go
                workspace[scale * WIDTH + tick - begin] = value


@inlined
def at_price(workspace: FloatArray, ended: FloatArray, dwell: int, begin: int, ticks: int, scale: float) -> None:
    """Fill the row of one price with the values after stops of a dwell.

    Parameters
    ----------
    workspace : rows of WIDTH numbers, changed in place.
    ended : shape (dwells, ticks), factor of the stop that ends at a tick.
    dwell : index of the dwell.
    begin : first tick.
    ticks : how many ticks at a time.
    scale : overlap price of factor 1, in scales.
    """
    at = np.uint64(begin)
    for t in range(np.uint64(ticks)):
        free, low = workspace[t], workspace[np.uint64(WIDTH) + t]
        high, full = workspace[np.uint64(2 * WIDTH) + t], workspace[np.uint64(3 * WIDTH) + t]
        where = min(scale * ended[dwell, at + t], SCALES - 1.0)
        workspace[np.uint64(PRICED * WIDTH) + t] = chord(free, low, high, full, where)


@inlined
def keep_best(workspace: FloatArray, row: int, dwell: int, ticks: int, j: int) -> float:
    """Keep the best and the second best of a dwell, a row being what j gives; gives the least of the second best.

    Parameters
    ----------
    workspace : rows of WIDTH numbers, changed in place.
    row : which row of the workspace.
    dwell : index of the dwell.
    ticks : how many ticks at a time.
    j : index of the post that follows.

    Returns
    -------
    float
        The least of the second best values.
    """
    values, most = np.uint64(row * WIDTH), np.uint64((FIRST + 3 * dwell) * WIDTH)
    second, after, to = most + np.uint64(WIDTH), most + np.uint64(2 * WIDTH), np.float64(j)
    for t in range(np.uint64(ticks)):
        now, best, other, was = workspace[values + t], workspace[most + t], workspace[second + t], workspace[after + t]
        better = now > best
        less = best if better else now
        workspace[second + t] = less if less > other else other  # noqa: FURB136 (compiled to fewer steps)
        workspace[after + t] = to if better else was
        workspace[most + t] = now if better else best
    least = -NEVER
    for t in range(np.uint64(ticks)):
        least = min(least, workspace[second + t])
    return float(least)
