"""What of a domain can still be on a walk that matters: the best relaxed worth through each post, leg and moment.

What lies ahead of a post is pricing.py's, the given beginning forward_labels.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, BackwardLabels, Prices
from hushwalk.planning.bound.batch import FIRST, PRICED, WIDTH, arrivals, at_price, first_arrival
from hushwalk.planning.bound.compiled import inlined, without_reference_counts
from hushwalk.planning.bound.domain import Domain, Legs
from hushwalk.planning.bound.forward_labels import ForwardLabels
from hushwalk.planning.bound.relaxation import Point, Relaxation
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


class FixingPass(NamedTuple):
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
def fix_arcs(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    backward: BackwardLabels,
    forward: ForwardLabels,
    legs: Legs,
    domain: Domain,
    last: int,
    count: int,
    floor: float,
) -> FloatArray:
    """Take out of a domain what no relaxed walk worth more than a floor goes through.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    prices : of what is limited.
    backward : labels of what is still to come.
    forward : labels of the given beginning.
    legs : legs that matter, by whether they overlap.
    domain : what may still be on a walk.
    last : the last of the given posts, or the start.
    count : how many posts are given.
    floor : worth that a walk must exceed to matter.

    Returns
    -------
    numpy.ndarray
        Shape (n,), best relaxed worth through each post; below the floor it need not be the best.

    Notes
    -----
    A sweep forwards meets the tables ahead; what is not worth the floor is not followed further.
    """
    n, ticks, step, first = domain.post.size, relaxation.ticks, min(relaxation.shortest, WIDTH), legs.opens[last]
    sweep = FixingPass(
        np.full((n, ticks + 1), NEVER),
        np.full((n, SCALES, ticks + 1), NEVER),
        np.full((n, relaxation.dwell.size, ticks), NEVER),
        np.full(n, NEVER),
        np.full((n, n), ticks),
        np.full((n, n), -1),
        np.empty(step),
    )
    sweep.gone[last] = forward.value[count]
    posts, workspace, done = np.full(1, last, np.int64), np.empty(FIRST * WIDTH), first
    for begin in range(first, ticks, step):
        end = min(begin + step, ticks)
        _fix_long_legs(tables, relaxation, prices, backward, legs, domain, sweep, posts, begin, end, floor, workspace)
        _fix_short_legs(
            tables, relaxation, point, prices, backward, legs, domain, sweep, posts, begin, end, floor, workspace
        )
    posts = np.flatnonzero(domain.post)
    for begin in range(first, ticks, step):
        end = min(begin + step, ticks)
        upto = max(end - relaxation.dwell.min(), done)
        _fix_posts(relaxation, backward, legs, domain, sweep, posts, done, upto, floor)
        _fix_long_legs(tables, relaxation, prices, backward, legs, domain, sweep, posts, begin, end, floor, workspace)
        _fix_short_legs(
            tables, relaxation, point, prices, backward, legs, domain, sweep, posts, begin, end, floor, workspace
        )
        done = upto
    _fix_posts(relaxation, backward, legs, domain, sweep, posts, done, ticks, floor)
    domain.early[:], domain.late[:] = sweep.early, sweep.late
    domain.post[:] &= sweep.post > floor
    return sweep.post


@without_reference_counts
def _fix_posts(
    relaxation: Relaxation,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    sweep: FixingPass,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
) -> None:
    """Stop at posts at ticks from ``begin`` up to ``end``, or wait there."""
    come, near, gone, most, begins = sweep.come, sweep.near, sweep.gone, sweep.post, domain.begin
    gain, leave, bit, factor, dwell = backward.gain, backward.leave, backward.bit, relaxation.factor, relaxation.dwell
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
                where = factor[w, tick] / relaxation.peak * (SCALES - 1)
                low = min(int(where), SCALES - 2)
                value = near[j, low, tick] * (1 - where + low) + near[j, low + 1, tick] * (where - low)
                value = max(value, come[j, tick]) + gain[j, w, tick]
                via = value + leave[bit[j], j, w, after]
                here = max(here, via)
                if via > floor:
                    gone[j, w, after] = max(gone[j, w, after], value)
            most[j] = max(most[j], here)
            begins[j, tick] = here > floor


@without_reference_counts
def _fix_long_legs(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relaxation: Relaxation,
    prices: Prices,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    sweep: FixingPass,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
    workspace: FloatArray,
) -> None:
    """Go from posts, left at ticks from ``begin`` up to ``end``, to those that do not overlap."""
    arrive, arrive_else, follow, most = backward.arrive, backward.arrive_else, backward.follow, backward.most
    leg, quickest, length, closes, bit = relaxation.leg, relaxation.quickest, tables.length, legs.closes, backward.bit
    far, fars, gone, come = legs.far, legs.fars, sweep.gone, sweep.come
    early, late, first_tick, last_tick = domain.early, domain.late, sweep.early, sweep.late
    shared, walk, ticks, best = tables.slot[begin] == tables.slot[end - 1], prices.walk, end - begin, sweep.best
    for i in posts:
        lead = _best_of_dwells(gone, best, i, begin, ticks)
        for k in range(fars[i] if lead > NEVER else 0):
            j = far[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relaxation.ticks or lead + most[bit[i], soonest] <= floor:
                break  # the others are no nearer, and nothing is worth more later
            first = first_arrival(arrive, leg, bit[i], i, j, soonest, closes[j], begin, shared, fare, walk)
            if lead + first <= floor or begin > late[i, j] or end <= early[i, j]:
                continue
            arrivals(workspace, arrive, arrive_else, follow, leg, bit[i], i, j, 1, begin, ticks, shared, fare, walk)
            for t in range(ticks):
                via = best[t] + workspace[t]
                if via > floor:
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


@without_reference_counts
def _fix_short_legs(  # noqa: PLR0917 (one loop nest, compiled as a whole)
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    sweep: FixingPass,
    posts: IntArray,
    begin: int,
    end: int,
    floor: float,
    workspace: FloatArray,
) -> None:
    """Go from posts, left at ticks from ``begin`` up to ``end``, to those that overlap."""
    arrive, arrive_else, follow, most = backward.arrive, backward.arrive_else, backward.follow, backward.most
    leg, quickest, length, closes, bit = relaxation.leg, relaxation.quickest, tables.length, legs.closes, backward.bit
    near, nears, gone, come = legs.near, legs.nears, sweep.gone, sweep.near
    early, late, first_tick, last_tick = domain.early, domain.late, sweep.early, sweep.late
    shared, walk, ticks, best = tables.slot[begin] == tables.slot[end - 1], prices.walk, end - begin, sweep.best
    overlap, ended, top = point.overlap, relaxation.ended, backward.top
    for i in posts:
        lead = _best_of_dwells(gone, best, i, begin, ticks)
        for k in range(nears[i] if lead > NEVER else 0):
            j = near[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relaxation.ticks or lead + most[bit[i], soonest] <= floor:
                break
            first = first_arrival(arrive, leg, bit[i], i, j, soonest, closes[j], begin, shared, fare, walk)
            if lead + first <= floor or begin > late[i, j] or end <= early[i, j]:
                continue
            arrivals(
                workspace, arrive, arrive_else, follow, leg, bit[i], i, j, SCALES, begin, ticks, shared, fare, walk
            )
            for w in range(gone.shape[1]):
                at_price(workspace, ended, w, begin, ticks, overlap[i, j] / top[j] * (SCALES - 1))
                for t in range(ticks):
                    via = gone[i, w, begin + t] + workspace[PRICED * WIDTH + t]
                    if via > floor:
                        first_tick[i, j], last_tick[i, j] = min(first_tick[i, j], begin + t), begin + t
                        go = np.int64(leg[i, j, begin + t])
                        at, worth = begin + t + go, gone[i, w, begin + t] - fare - walk * go
                        unit = overlap[i, j] * ended[w, begin + t] * relaxation.peak / (SCALES - 1)
                        for s in range(SCALES):
                            come[j, s, at] = max(come[j, s, at], worth - unit * s)
