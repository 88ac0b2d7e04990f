"""Making a route of given places quicker: runs walked the other way, and runs moved elsewhere.

Which places are on the route is not changed here.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
LONGEST_RUN = 3  # judgement: moving runs of up to three places is what the travelling-salesman literature calls or-opt


@njit(cache=True)
def turn_runs(times: FloatArray, route: IntArray, count: int) -> bool:
    """Walk runs the other way round where that is quicker; times must be the same both ways."""
    better = False
    for i in range(1, count - 2):
        for j in range(i + 1, count - 1):
            a, b, c, d = route[i - 1], route[i], route[j], route[j + 1]
            if times[a, c] + times[b, d] < times[a, b] + times[c, d] - 1e-9 * times[a, b] - 1e-12:
                low, high = i, j
                while low < high:
                    route[low], route[high] = route[high], route[low]
                    low, high = low + 1, high - 1
                better = True
    return better


@njit(cache=True)
def move_run(route: IntArray, first: int, long: int, to: int, turned: bool) -> None:
    """Move ``long`` places from ``first`` to between the places that stand at ``to`` and ``to`` + 1."""
    run = route[first : first + long].copy()
    if turned:
        run = run[::-1].copy()
    if to < first:
        for k in range(first - 1, to, -1):
            route[k + long] = route[k]
        route[to + 1 : to + 1 + long] = run
    else:
        for k in range(first + long, to + 1):
            route[k - long] = route[k]
        route[to + 1 - long : to + 1] = run


@njit(cache=True)
def move_runs(times: FloatArray, route: IntArray, count: int, two_way: bool) -> bool:
    """Move runs of up to three places where that is quicker."""
    better = False
    for long in range(1, LONGEST_RUN + 1):
        first = 1
        while first + long < count:
            before, after = route[first - 1], route[first + long]
            head, tail = route[first], route[first + long - 1]
            freed = times[before, head] + times[tail, after] - times[before, after]
            least, to, turned = freed - 1e-9 * abs(freed) - 1e-12, -1, False
            for k in range(count - 1):
                if first - 1 <= k < first + long:
                    continue
                here, there = route[k], route[k + 1]
                straight = times[here, head] + times[tail, there] - times[here, there]
                if straight < least:
                    least, to, turned = straight, k, False
                if two_way and long > 1:
                    back = times[here, tail] + times[head, there] - times[here, there]
                    if back < least:
                        least, to, turned = back, k, True
            if to >= 0:
                move_run(route, first, long, to, turned)
                better = True
            first += 1
    return better


@njit(cache=True)
def shorten(times: FloatArray, route: IntArray, count: int, two_way: bool) -> None:
    """Make a route quicker until neither kind of change helps.

    Parameters
    ----------
    times : shape (n, n).
    route : shape (at least count,), places in order; the first and last stay.
    count : number of places.
    two_way : whether times are the same both ways.
    """
    for _ in range(50):
        better = two_way and turn_runs(times, route, count)
        better = move_runs(times, route, count, two_way) or better
        if not better:
            break
