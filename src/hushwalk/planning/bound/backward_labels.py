"""Tables of what can still be gained from a post at a tick, and how they are read.

They are filled by pricing.py.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.compiled import without_reference_counts
from hushwalk.planning.bound.domain import Domain
from hushwalk.planning.bound.relaxation import Relaxation
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray, SmallArray

SCALES = 4  # judgement: overlap prices between two of four are bounded by the chord
NEVER = -1e30  # definition: worse than any walk


class Prices(NamedTuple):
    """Prices of what is limited: a tick from leaving to being back, a stop, a tick on foot, a metre."""

    tick: float
    stop: float
    walk: float
    metre: float


class BackwardLabels(NamedTuple):
    """Best relaxed worth ahead, by which critical posts have been visited.

    ``leave`` by visited, post, dwell and tick of leaving; ``arrive`` by visited, post, overlap price and tick of
    arriving, ``most`` by visited and tick, the largest of all posts at price 0. ``after`` is the post that follows
    (the count of posts: home) on the walk of ``leave`` and ``follow`` on that of ``arrive``; ``leave_else`` and
    ``arrive_else`` are the best with another post following, so that no walk goes back to a post at once (Houck and
    others 1980). ``bit`` is the mark of each critical post, 0 for the others; ``top`` the highest overlap price of
    each post; ``gain`` what a stop is worth before any overlap, by post, dwell and tick of beginning.
    """

    leave: FloatArray
    after: SmallArray
    leave_else: FloatArray
    arrive: FloatArray
    follow: SmallArray
    arrive_else: FloatArray
    most: FloatArray
    top: FloatArray
    bit: IntArray
    gain: FloatArray


@without_reference_counts
def home(tables: Tables, relaxation: Relaxation, prices: Prices, post: int, tick: int) -> float:
    """Value of going to the end from a post at a tick.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    prices : of what is limited.
    post : index of the post.
    tick : ticks since the earliest clock.

    Returns
    -------
    float
        Relaxed worth, NEVER where one comes too late.
    """
    leg = tables.leg[tables.slot[tick], post, tables.end]
    if tick + leg >= relaxation.ticks:
        return NEVER
    return float(-prices.tick * (tick + leg) - prices.walk * leg - prices.metre * tables.length[post, tables.end])


@without_reference_counts
def step_to(backward: BackwardLabels, visited: int, post: int, tick: int, price: float, before: int) -> float:
    """Value of arriving at a post from the post ``before`` when each unit of its factor costs ``price`` for overlap.

    Between two scales of the price it is taken on the chord.

    Parameters
    ----------
    backward : labels of what is still to come.
    visited : set of critical posts visited, as bits.
    post : index of the post.
    tick : ticks since the earliest clock.
    price : overlap price of each unit of the factor of the post.
    before : index of the post that one comes from.

    Returns
    -------
    float
        Relaxed worth from there on.
    """
    top = backward.top[post]
    where = 0.0 if price <= 0.0 or top <= 0.0 else min(price / top, 1.0) * (SCALES - 1)
    low = min(int(where), SCALES - 2)
    value = _arrive_at(backward, visited, post, low, tick, before)
    if where <= low:
        return value
    return value * (1 - where + low) + _arrive_at(backward, visited, post, low + 1, tick, before) * (where - low)


@without_reference_counts
def _arrive_at(backward: BackwardLabels, visited: int, post: int, scale: int, tick: int, before: int) -> float:
    if backward.follow[visited, post, scale, tick] == before:
        return float(backward.arrive_else[visited, post, scale, tick])
    return float(backward.arrive[visited, post, scale, tick])


@njit(cache=True, nogil=True)
def new_backward_labels(relaxation: Relaxation, domain: Domain, top: FloatArray, critical: IntArray) -> BackwardLabels:
    """Make tables in which nothing can be gained yet.

    Parameters
    ----------
    relaxation : of that problem.
    domain : what may still be on a walk.
    top : shape (n,), highest overlap price of each post.
    critical : shape (k,), posts that relaxed walks may visit but once.

    Returns
    -------
    BackwardLabels
        NEVER everywhere.
    """
    n, ticks, sets = domain.post.size, relaxation.ticks, 1 << critical.size
    bit = np.zeros(n, np.int64)
    for k in range(critical.size):
        bit[critical[k]] = 1 << k
    left, come = (sets, n, relaxation.dwell.size, ticks), (sets, n, SCALES, ticks + relaxation.shortest)
    return BackwardLabels(
        np.full(left, NEVER),
        np.full(left, n, np.int16),
        np.full(left, NEVER),
        np.full(come, NEVER),
        np.full(come, n, np.int16),
        np.full(come, NEVER),
        np.full((sets, ticks + 1), NEVER),
        top,
        bit,
        np.empty((n, relaxation.dwell.size, ticks)),
    )
