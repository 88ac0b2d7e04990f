"""Leaving posts at a few ticks: which post, or home, is best to go to then.

The ticks of one leg are batch.py's.
"""

import numpy as np

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, BackwardLabels, Prices, home
from hushwalk.planning.bound.batch import FIRST, PRICED, WIDTH, arrivals, at_price, first_arrival, keep_best
from hushwalk.planning.bound.compiled import inlined, without_reference_counts
from hushwalk.planning.bound.domain import Domain, Legs
from hushwalk.planning.bound.relaxation import Point, Relaxation
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


@without_reference_counts
def leave_posts(  # noqa: C901, PLR0917 (one loop nest, compiled as a whole)
    tables: Tables,
    relaxation: Relaxation,
    prices: Prices,
    point: Point,
    backward: BackwardLabels,
    legs: Legs,
    domain: Domain,
    visited: int,
    posts: IntArray,
    begin: int,
    end: int,
    workspace: FloatArray,
) -> None:
    """Fill in leaving posts at ticks from ``begin`` up to ``end``; arriving after them is filled in already.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    prices : of what is limited.
    point : the relaxed worth at one point.
    backward : labels of what is still to come.
    legs : legs that matter, by whether they overlap.
    domain : what may still be on a walk.
    visited : set of critical posts visited, as bits.
    posts : shape (k,), posts that are left at any of the ticks.
    begin : first tick.
    end : tick before which it ends.
    workspace : rows of WIDTH numbers, changed in place.
    """
    arrive, arrive_else, follow, most = backward.arrive, backward.arrive_else, backward.follow, backward.most
    leg, quickest, length, closes, walk = relaxation.leg, relaxation.quickest, tables.length, legs.closes, prices.walk
    near, nears, far, fars, overlap, ended = legs.near, legs.nears, legs.far, legs.fars, point.overlap, relaxation.ended
    early, late = domain.early, domain.late
    ticks, dwells, shared = end - begin, relaxation.dwell.size, tables.slot[begin] == tables.slot[end - 1]
    for i in posts:
        for t in range(ticks):
            workspace[FIRST * WIDTH + t], workspace[(FIRST + 1) * WIDTH + t] = (
                home(tables, relaxation, prices, i, begin + t),
                NEVER,
            )
            workspace[(FIRST + 2) * WIDTH + t] = closes.size
        least = NEVER
        for k in range(fars[i]):
            j = far[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relaxation.ticks or most[visited, soonest] <= least:
                break  # the others are no nearer, and nothing is worth more later
            if begin > late[i, j] or end <= early[i, j]:
                continue
            first = first_arrival(arrive, leg, visited, i, j, soonest, closes[j], begin, shared, fare, walk)
            if first > least:
                arrivals(
                    workspace, arrive, arrive_else, follow, leg, visited, i, j, 1, begin, ticks, shared, fare, walk
                )
                least = keep_best(workspace, 0, 0, ticks, j)
        _same_after_all(workspace, dwells, ticks)
        for k in range(nears[i]):
            j = near[i, k]
            soonest, fare = begin + quickest[i, j], prices.metre * length[i, j]
            if soonest >= relaxation.ticks or most[visited, soonest] <= least:
                break
            if begin > late[i, j] or end <= early[i, j]:
                continue
            first = first_arrival(arrive, leg, visited, i, j, soonest, closes[j], begin, shared, fare, walk)
            if first > least:
                arrivals(
                    workspace, arrive, arrive_else, follow, leg, visited, i, j, SCALES, begin, ticks, shared, fare, walk
                )
                least = -NEVER
                for w in range(dwells):
                    at_price(workspace, ended, w, begin, ticks, overlap[i, j] / backward.top[j] * (SCALES - 1))
                    least = min(least, keep_best(workspace, PRICED, w, ticks, j))
        _put_down(backward, workspace, visited, i, begin, ticks)


@inlined
def _same_after_all(workspace: FloatArray, dwells: int, ticks: int) -> None:
    """Copy what was found for the first dwell to the others."""
    for w in range(1, dwells):
        for row in range(3):
            for t in range(ticks):
                workspace[(FIRST + 3 * w + row) * WIDTH + t] = workspace[(FIRST + row) * WIDTH + t]


@without_reference_counts
def _put_down(backward: BackwardLabels, workspace: FloatArray, visited: int, i: int, begin: int, ticks: int) -> None:
    """Put what was found into the tables."""
    leave, leave_else, after = backward.leave, backward.leave_else, backward.after
    for w in range(leave.shape[2]):
        row = FIRST + 3 * w
        for t in range(ticks):
            leave[visited, i, w, begin + t] = workspace[row * WIDTH + t]
            leave_else[visited, i, w, begin + t] = workspace[(row + 1) * WIDTH + t]
            after[visited, i, w, begin + t] = np.int16(workspace[(row + 2) * WIDTH + t])
