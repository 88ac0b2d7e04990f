"""Walks that begin with given posts: their best times so far, and the walk that is best from there.

What lies ahead of the last of them is pricing.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, BackwardLabels, Prices, home, step_to
from hushwalk.planning.bound.domain import Domain
from hushwalk.planning.bound.relaxation import Point, Relaxation, gain_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


class ForwardLabels(NamedTuple):
    """Best relaxed worth of the given posts by place in order, dwell and tick of leaving; and where it came from."""

    value: FloatArray
    came: IntArray


@njit(cache=True, nogil=True)
def fill_forward_labels(  # noqa: C901, PLR0912 (one loop nest, compiled as a whole)
    tables: Tables, relaxation: Relaxation, point: Point, prices: Prices, fixed: IntArray, count: int
) -> ForwardLabels:
    """Time the given posts in every way; row 0 is the start, left at any tick (its dwell is the first).

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    prices : of what is limited.
    fixed : shape (k,), posts that the walk begins with, in order.
    count : how many they are.

    Returns
    -------
    ForwardLabels
        Best relaxed worth by place in order, dwell and tick of leaving.
    """
    dwells, ticks = relaxation.dwell.size, relaxation.ticks
    value = np.full((count + 1, dwells, ticks), NEVER)
    came = np.zeros((count + 1, dwells, ticks), np.int64)
    for tick in range(ticks):
        value[0, 0, tick] = prices.tick * tick
    best, origin = np.empty((ticks, SCALES)), np.zeros((ticks, SCALES), np.int64)
    for k in range(1, count + 1):
        here, post = (tables.start if k == 1 else fixed[k - 2]), fixed[k - 1]
        best[:], top = NEVER, point.overlap[here, post] * relaxation.peak
        for tick in range(ticks):
            leg = tables.leg[tables.slot[tick], here, post]
            if tick + leg >= ticks:
                continue
            fare = prices.walk * leg + prices.metre * tables.length[here, post]
            for w in range(dwells):
                if value[k - 1, w, tick] <= NEVER:
                    continue
                factor = 0.0 if k == 1 else relaxation.factor[w, tick - relaxation.dwell[w]]
                for s in range(SCALES):
                    worth = value[k - 1, w, tick] - fare - top * s / (SCALES - 1) * factor
                    if worth > best[tick + leg, s]:
                        best[tick + leg, s], origin[tick + leg, s] = worth, tick * dwells + w
        for tick in range(ticks):
            for s in range(SCALES):
                if tick > 0 and best[tick - 1, s] > best[tick, s]:
                    best[tick, s], origin[tick, s] = best[tick - 1, s], origin[tick - 1, s]
            for w in range(dwells):
                gone = tick + relaxation.dwell[w]
                if gone >= ticks or best[tick, 0] <= NEVER:
                    continue
                price = point.overlap[here, post] * relaxation.factor[w, tick]
                where = 0.0 if top <= 0 else min(price / top, 1.0) * (SCALES - 1)
                low = min(int(where), SCALES - 2)
                before = best[tick, low] * (1 - where + low) + best[tick, low + 1] * (where - low)
                value[k, w, gone] = before + gain_at(relaxation, point, post, w, tick) - prices.stop
                came[k, w, gone] = origin[tick, low]
    return ForwardLabels(value, came)


@njit(cache=True, nogil=True)
def branch_bounds(
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    backward: BackwardLabels,
    forward: ForwardLabels,
    domain: Domain,
    last: int,
    count: int,
) -> tuple[FloatArray, IntArray]:
    """Best relaxed worth with each post next, and with none (the last entry); and when the last post is left then.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    prices : of what is limited.
    backward : labels of what is still to come.
    forward : labels of the given beginning.
    domain : what may still be on a walk.
    last : the last of the given posts, or the start.
    count : how many posts are given.

    Returns
    -------
    tuple of ndarray
        Shape (n + 1,) bounds without the constant, and the moment of leaving as one number.
    """
    n, dwells = domain.post.size, relaxation.dwell.size
    most, when = np.full(n + 1, NEVER), np.zeros(n + 1, np.int64)
    for tick in range(relaxation.ticks):
        legs = tables.leg[tables.slot[tick], last]
        ending = home(tables, relaxation, prices, last, tick)
        for w in range(dwells):
            so_far = forward.value[count, w, tick]
            if so_far <= NEVER:
                continue
            if so_far + ending > most[n]:
                most[n], when[n] = so_far + ending, tick * dwells + w
            factor = 0.0 if count == 0 else relaxation.factor[w, tick - relaxation.dwell[w]]
            for j in range(n):
                there = tick + legs[j]
                if not domain.post[j] or domain.early[last, j] > domain.late[last, j] or there >= relaxation.ticks:
                    continue
                fare = prices.walk * legs[j] + prices.metre * tables.length[last, j]
                bare = so_far + backward.arrive[0, j, 0, there] - fare
                if bare > most[j]:
                    value = so_far + step_to(backward, 0, j, there, point.overlap[last, j] * factor, last) - fare
                    if value > most[j]:
                        most[j], when[j] = value, tick * dwells + w
    return most, when


@njit(cache=True, nogil=True)
def best_beginning(
    relaxation: Relaxation, backward: BackwardLabels, visited: int, post: int, tick: int, price: float, before: int
) -> tuple[int, int]:
    """Dwell and tick at which a stop reached at ``tick`` from the post ``before`` is best begun.

    Parameters
    ----------
    relaxation : of that problem.
    backward : labels of what is still to come.
    visited : set of critical posts visited, as bits.
    post : index of the post.
    tick : ticks since the earliest clock.
    price : overlap price of each unit of the factor of the post.
    before : index of the post that one comes from.

    Returns
    -------
    tuple of int
        Dwell and tick.
    """
    most, dwell, when = 2 * NEVER, 0, tick
    for begin in range(tick, relaxation.ticks):
        for w in range(relaxation.dwell.size):
            gone = begin + relaxation.dwell[w]
            if gone < relaxation.ticks and backward.leave[visited, post, w, gone] > NEVER:
                back = backward.after[visited, post, w, gone] == before
                left = backward.leave_else[visited, post, w, gone] if back else backward.leave[visited, post, w, gone]
                value = backward.gain[post, w, begin] + left - price * relaxation.factor[w, begin]
                if value > most:
                    most, dwell, when = value, w, begin
    return dwell, when


@njit(cache=True, nogil=True)
def trace(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    backward: BackwardLabels,
    forward: ForwardLabels,
    domain: Domain,
    fixed: IntArray,
    count: int,
    branch: int,
    moment: int,
) -> tuple[IntArray, int]:
    """Follow the best relaxed walk through a branch; gives rows of posts, dwells and ticks of beginning, and count.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    prices : of what is limited.
    backward : labels of what is still to come.
    forward : labels of the given beginning.
    domain : what may still be on a walk.
    fixed : shape (k,), posts that the walk begins with, in order.
    count : how many posts are given.
    branch : the post that follows; the count of posts for none.
    moment : tick and dwell with which the last given post is left, as one number.

    Returns
    -------
    tuple of ndarray and int
        Shape (3, room) posts, dwells, ticks; and how many columns are filled.
    """
    dwells, room = relaxation.dwell.size, count + relaxation.ticks
    walk, tick, w = np.zeros((3, room), np.int64), moment // dwells, moment % dwells
    at, dwell, visited = tick, w, 0
    for k in range(count, 0, -1):
        walk[0, k - 1], walk[1, k - 1], walk[2, k - 1] = fixed[k - 1], dwell, at - relaxation.dwell[dwell]
        origin = forward.came[k, dwell, at]
        at, dwell = origin // dwells, origin % dwells
    here, size, following = (tables.start if count == 0 else fixed[count - 1]), count, branch
    n = domain.post.size
    while following < n and size < room:
        factor = 0.0 if size == 0 else relaxation.factor[w, tick - relaxation.dwell[w]]
        there = tick + tables.leg[tables.slot[tick], here, following]
        visited |= backward.bit[following]
        w, begin = best_beginning(
            relaxation, backward, visited, following, there, point.overlap[here, following] * factor, here
        )
        walk[0, size], walk[1, size], walk[2, size] = following, w, begin
        before, tick, here, size = here, begin + relaxation.dwell[w], following, size + 1
        most, following = home(tables, relaxation, prices, here, tick), n
        for j in range(n):
            reach = tick + tables.leg[tables.slot[tick], here, j]
            if (
                domain.post[j]
                and j != before
                and domain.early[here, j] <= domain.late[here, j]
                and reach < relaxation.ticks
            ):
                price = point.overlap[here, j] * relaxation.factor[w, begin]
                value = step_to(backward, visited, j, reach, price, here) - prices.metre * tables.length[here, j]
                value -= prices.walk * (reach - tick)
                if value > most:
                    most, following = value, j
    return walk, size
