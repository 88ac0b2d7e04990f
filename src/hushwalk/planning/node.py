"""The bound of all walks that begin with given posts, made better by moving the point where it is touched.

Which beginnings are looked at, and in which order, is bound.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.chain import branches, look_behind, trace
from hushwalk.planning.pricing import NEVER, Prices, legs_of, look_ahead
from hushwalk.planning.relaxed import Relief, relax_at
from hushwalk.planning.tables import Tables
from hushwalk.planning.through import best_through

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
MOST_WORK = 30_000  # judgement: sets of critical posts times legs; more made rounds slower than it made bounds better
SOFT = (0.3, 0.1, 0.02)  # judgement: softness at first at the root, at first below it, and at last
SWEEP_EVERY = 4  # judgement: giving posts up costs as much as a round
STRIDES = np.array(
    [1.0, 0.7, 0.5, 0.35, 0.25, 0.17, 0.11, 0.07, 0.04, 0.02]
)  # judgement: a rough line search is enough


class NodeBound(NamedTuple):
    """Bound of a node and of each branch of it, the point it was found at, and the last relaxed walk.

    ``alive`` are the posts that can still matter below it, ``lost`` bounds the walks through those that cannot, and
    ``critical`` are the posts that relaxed walks may visit but once.
    """

    bound: float
    branch: FloatArray
    seen: FloatArray
    summed: FloatArray
    walk: IntArray
    size: int
    alive: BoolArray
    lost: float
    critical: IntArray


@njit(cache=True, nogil=True)
def alive_after(tables: Tables, allowed: BoolArray, fixed: IntArray, count: int) -> BoolArray:
    """Which of the allowed posts may still follow the given ones."""
    alive = tables.usable & allowed
    for k in range(count):
        alive[fixed[k]] = False
        for j in range(alive.size):
            if tables.clash[fixed[k], j]:
                alive[j] = False
    return alive


@njit(cache=True, nogil=True)
def earliest_leave(tables: Tables, relief: Relief, fixed: IntArray, count: int) -> int:
    """Earliest tick at which the last of the given posts can be left."""
    tick, here = 0, tables.start
    for k in range(count):
        if tick >= relief.ticks:
            return relief.ticks
        tick += tables.leg[tables.slot[tick], here, fixed[k]] + relief.dwell.min()
        here = fixed[k]
    return min(tick, relief.ticks)


@njit(cache=True, nogil=True)
def walk_point(
    tables: Tables, relief: Relief, walk: IntArray, count: int, seen: FloatArray, summed: FloatArray
) -> None:
    """Fill in where a relaxed walk lies: u, and the sum of p a less the overlap of neighbouring visits."""
    before, now = np.zeros(seen.size), np.zeros(seen.size)
    seen[:], summed[:] = 0.0, 0.0
    for k in range(count):
        post, factor = walk[0, k], relief.factor[walk[1, k], walk[2, k]]
        now[:] = 0.0
        for e in range(tables.row_start[post], tables.row_start[post + 1]):
            c = tables.target[e]
            caught = min(tables.chance[e] * factor, 1 - 1e-12)
            seen[c] -= np.log1p(-caught)
            summed[c] += caught * (1 - before[c])
            now[c] = caught
        before, now = now, before


@njit(cache=True, nogil=True)
def stride(tables: Tables, seen: FloatArray, summed: FloatArray, to_seen: FloatArray, to_summed: FloatArray) -> float:
    """How far to move the point towards a walk."""
    most, best = -1.0, STRIDES[-1]
    for far in STRIDES:
        worth = 0.0
        for c in range(seen.size):
            u, b = seen[c] + far * (to_seen[c] - seen[c]), summed[c] + far * (to_summed[c] - summed[c])
            worth += tables.mass[c] * min(1 - np.exp(-u), b)
        if worth > most:
            most, best = worth, far
    return float(best)


@njit(cache=True, nogil=True)
def with_repeated(once: IntArray, alive: BoolArray, walk: IntArray, size: int) -> IntArray:
    """Add the post that a relaxed walk repeats most to the critical ones, if the tables can carry it."""
    times = np.zeros(alive.size, np.int64)
    for k in range(size):
        times[walk[0, k]] += 1
    post = int(np.argmax(times))
    twice = times[post] > 1
    if not twice or (1 << (once.size + 1)) * alive.sum() ** 2 > MOST_WORK or not alive[post]:
        return once
    more = np.empty(once.size + 1, np.int64)
    more[: once.size], more[once.size] = once, post
    return more


@njit(cache=True, nogil=True)
def bound_node(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relief: Relief,
    fixed: IntArray,
    count: int,
    seen: FloatArray,
    summed: FloatArray,
    prices: Prices,
    rounds: int,
    enough: float,
    allowed: BoolArray,
    critical: IntArray,
    turned: int,
) -> NodeBound:
    """Bound every walk that begins with the given posts.

    Parameters
    ----------
    tables, relief : the problem.
    fixed, count : the posts it begins with.
    seen, summed : shape (m,), the point to begin at; any point gives a valid bound.
    prices : prices of what is limited.
    rounds : most relaxed walks to price.
    enough : stop once the bound is not above this; posts whose walks all lie below it are given up.
    allowed : shape (n,), posts that walks may visit after the given ones.
    critical : posts that relaxed walks may visit but once; those that they repeat are added.
    turned : rounds already made at this node, after which the choice between the two bounds is sharper.

    Notes
    -----
    Each round relaxes the worth at the point, prices the best relaxed walk (whose value is a bound), and moves the
    point towards that walk, as Frank and Wolfe (1956) do on a concave function.
    """
    n = tables.usable.size
    alive = alive_after(tables, allowed, fixed, count)
    known = alive.copy()
    for k in range(count):
        known[fixed[k]] = True
    last = tables.start if count == 0 else fixed[count - 1]
    first = earliest_leave(tables, relief, fixed, count)
    here, there = seen.copy(), summed.copy()
    to_seen, to_summed = np.zeros(seen.size), np.zeros(seen.size)
    best, best_branch = np.inf, np.full(n + 1, np.inf)
    best_seen, best_summed = here.copy(), there.copy()
    walk, size, lost, once = np.zeros((3, 1), np.int64), 0, -np.inf, critical[alive[critical]]
    through = np.full(n, np.inf)
    own = prices.tick * relief.budget + prices.stop * min(tables.max_stops, n)
    own += prices.walk * min(tables.max_walk / tables.step, 1e9) + prices.metre * min(tables.max_length, 1e12)
    for turn in range(rounds):
        soft = max(SOFT[0 if count == 0 else 1] * 0.8 ** (turned + turn), SOFT[2])
        point = relax_at(tables, relief, here, there, known, soft)
        legs, top = legs_of(tables, relief, point, alive, last, first)
        ahead = look_ahead(tables, relief, point, prices, legs, top, alive, last, once)
        behind = look_behind(tables, relief, point, prices, fixed, count)
        most, when = branches(tables, relief, point, prices, ahead, behind, alive, last, count)
        worth = most + point.constant + own
        branch = int(np.argmax(most))
        for j in range(n + 1):
            best_branch[j] = min(best_branch[j], worth[j] if most[j] > NEVER / 2 else -1.0)
        if worth[branch] < best:
            best = worth[branch]
            best_seen[:], best_summed[:] = here, there
        if most[branch] <= NEVER / 2 or best <= enough:
            break
        if turn % SWEEP_EVERY == SWEEP_EVERY - 1 or turn == rounds - 1:
            sweep = best_through(tables, relief, point, prices, ahead, behind, legs, alive, last, count)
            for j in range(n):
                through[j] = min(through[j], sweep[j] + point.constant + own)
                if alive[j] and through[j] <= enough:
                    alive[j], known[j], lost = False, False, max(lost, through[j])
        walk, size = trace(tables, relief, point, prices, ahead, behind, alive, fixed, count, branch, int(when[branch]))
        walk_point(tables, relief, walk, size, to_seen, to_summed)
        once = with_repeated(once[alive[once]], alive, walk, size)
        far = stride(tables, here, there, to_seen, to_summed)
        here += far * (to_seen - here)
        there += far * (to_summed - there)
    return NodeBound(np.max(best_branch), best_branch, best_seen, best_summed, walk, size, alive, lost, once)
