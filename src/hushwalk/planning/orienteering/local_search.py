"""Making a route of given places quicker: runs walked the other way, and runs moved elsewhere.

Which places are on the route is not changed here. Only places that were woken are looked at, and only near ones are
tried beside them, so that a small change costs little.
"""

from typing import NamedTuple

from numba import njit

from hushwalk.types import BoolArray, FloatArray, IntArray

LONGEST_RUN = 3  # judgement: moving runs of up to three places is what the travelling-salesman literature calls or-opt
TINY = 1e-9  # definition: a change that saves less than this share is none


class WorkingRoute(NamedTuple):
    """A route that is being changed: the places in order, where each stands (-1: not on it), and who is awake."""

    route: IntArray
    where: IntArray
    awake: IntArray
    asleep: BoolArray


@njit(cache=True)
def activate(working: WorkingRoute, many: int, place: int) -> int:
    """Put a place on the list of those to look at; gives the new length of the list.

    Parameters
    ----------
    working : the working route, changed in place.
    many : places on the list of those to look at.
    place : index of the place.

    Returns
    -------
    int
        Length of the list.
    """
    if working.asleep[place]:
        working.asleep[place] = False
        working.awake[many] = place
        return many + 1
    return many


@njit(cache=True)
def turn(working: WorkingRoute, low: int, high: int) -> None:
    """Walk the places from position ``low`` to ``high`` the other way round.

    Parameters
    ----------
    working : the working route, changed in place.
    low : value at the lower scale, or the first position.
    high : value at the upper scale, or the last position.
    """
    route, where = working.route, working.where
    while low < high:
        a, b = route[low], route[high]
        route[low], route[high] = b, a
        where[b], where[a] = low, high
        low, high = low + 1, high - 1
    if low == high:
        where[route[low]] = low


@njit(cache=True)
def move_run(working: WorkingRoute, first: int, long: int, to: int, turned: bool) -> None:
    """Move ``long`` places from ``first`` to between the places that stand at ``to`` and ``to`` + 1.

    Parameters
    ----------
    working : the working route, changed in place.
    first : first position.
    long : places in the run.
    to : position before which it goes.
    turned : rounds made before.
    """
    route, where = working.route, working.where
    if turned:
        turn(working, first, first + long - 1)
    a, b, c = route[first], route[min(first + 1, first + long - 1)], route[first + long - 1]
    if to < first:
        for k in range(first - 1, to, -1):
            route[k + long] = route[k]
            where[route[k]] = k + long
        at = to + 1
    else:
        for k in range(first + long, to + 1):
            route[k - long] = route[k]
            where[route[k]] = k - long
        at = to + 1 - long
    route[at] = a
    where[a] = at
    if long > 1:
        route[at + 1] = b
        where[b] = at + 1
    if long > 2:  # noqa: PLR2004
        route[at + 2] = c
        where[c] = at + 2


@njit(cache=True)
def try_turn(times: FloatArray, near: IntArray, working: WorkingRoute, count: int, a: int, many: int) -> int:
    """Turn a run so that a place stands beside a near one, where that is quicker; gives the awake, or -1 for none.

    Parameters
    ----------
    times : shape (n, n) [s].
    near : shape (n, k), nearest places of each.
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    a : position of the stop.
    many : places on the list of those to look at.

    Returns
    -------
    int
        Length of the list, -1 for no change.
    """
    route, where = working.route, working.where
    i = where[a]
    for side in range(2):
        if (side == 0 and i + 1 >= count) or (side == 1 and i < 1):
            continue
        b = route[i + 1] if side == 0 else route[i - 1]
        ab = times[a, b]
        for q in range(near.shape[1]):
            c = near[a, q]
            ac = times[a, c]
            if ac >= ab:
                break
            k = where[c]
            if k < 0 or (side == 0 and k + 1 >= count) or (side == 1 and k < 1):
                continue
            d = route[k + 1] if side == 0 else route[k - 1]
            if ac + times[b, d] < ab + times[c, d] - TINY * ab:
                if side == 0:
                    turn(working, min(i, k) + 1, max(i, k))
                else:
                    turn(working, min(i, k), max(i, k) - 1)
                many = activate(working, many, a)
                many = activate(working, many, b)
                many = activate(working, many, c)
                return activate(working, many, d)
    return -1


@njit(cache=True)
def try_move(  # noqa: C901, PLR0912 (one loop over a few kinds of move, compiled as a whole)
    times: FloatArray, near: IntArray, two_way: bool, working: WorkingRoute, count: int, a: int, many: int
) -> int:
    """Move a short run that begins or ends at a place beside a near one; gives the awake, or -1 for none.

    Parameters
    ----------
    times : shape (n, n) [s].
    near : shape (n, k), nearest places of each.
    two_way : whether legs take as long both ways.
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    a : position of the stop.
    many : places on the list of those to look at.

    Returns
    -------
    int
        Length of the list, -1 for no change.
    """
    route, where = working.route, working.where
    i = where[a]
    if i < 1 or i >= count - 1:
        return -1
    most, first_best, long_best, to_best, turn_best = 0.0, -1, 0, 0, False
    for long in range(1, LONGEST_RUN + 1):
        for side in range(2 if long > 1 else 1):
            first = i if side == 0 else i - long + 1
            last = first + long - 1
            if first < 1 or last >= count - 1:
                continue
            before, after = route[first - 1], route[last + 1]
            head, tail = route[first], route[last]
            other = tail if side == 0 else head
            freed = times[before, head] + times[tail, after] - times[before, after]
            if freed <= most:
                continue
            for q in range(near.shape[1]):
                c = near[a, q]
                if min(times[a, c], times[c, a]) >= freed:
                    break
                k = where[c]
                if k < 0 or first <= k <= last:
                    continue
                for way_round in range(2):
                    # beside c: a right after it (0) or right before it (1)
                    to = k if way_round == 0 else k - 1
                    if to < 0 or to >= count - 1 or first - 1 <= to <= last:
                        continue
                    turned = (side == 0) == (way_round == 1) and long > 1
                    if turned and not two_way:
                        continue
                    one, two = route[to], route[to + 1]
                    in_first, in_last = (a, other) if way_round == 0 else (other, a)
                    gain = freed - times[one, in_first] - times[in_last, two] + times[one, two]
                    if gain > most + TINY * freed:
                        most, first_best, long_best, to_best, turn_best = gain, first, long, to, turned
    if first_best < 0:
        return -1
    many = activate(working, many, route[first_best - 1])
    many = activate(working, many, route[first_best + long_best])
    many = activate(working, many, route[to_best])
    many = activate(working, many, route[to_best + 1])
    many = activate(working, many, route[first_best])
    many = activate(working, many, route[first_best + long_best - 1])
    move_run(working, first_best, long_best, to_best, turn_best)
    return many


@njit(cache=True)
def shorten(times: FloatArray, near: IntArray, two_way: bool, working: WorkingRoute, count: int, many: int) -> None:
    """Make a route quicker until no place that is awake can be helped.

    Parameters
    ----------
    times : shape (n, n).
    near : shape (n, k), the places nearest to each, the nearest first.
    two_way : whether times are the same both ways; runs are turned only then.
    working : the route; its first and last place stay.
    count : number of places on it.
    many : number of places in ``working.awake``.
    """
    while many > 0:
        many -= 1
        a = working.awake[many]
        working.asleep[a] = True
        if working.where[a] < 0:
            continue
        more = try_move(times, near, two_way, working, count, a, many)
        if more < 0 and two_way:
            more = try_turn(times, near, working, count, a, many)
        if more >= 0:
            many = activate(working, more, a)
