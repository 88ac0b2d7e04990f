"""The bound of all walks that begin with given posts, made better by moving the point where it is touched.

Which beginnings are looked at, and in which order, is bound.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.arc_fixing import narrow
from hushwalk.planning.bound.backward_labels import NEVER, Prices
from hushwalk.planning.bound.domain import Scope, legs_of, scope_after
from hushwalk.planning.bound.forward_labels import branches, look_behind, trace
from hushwalk.planning.bound.pricing import look_ahead
from hushwalk.planning.bound.relaxation import Point, Relief, relax_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray

MOST_WORK = 60_000  # judgement: sets of critical posts times moments; more made rounds slower, not bounds better
PULL = 1.0  # judgement: a post that walks visit twice on the average costs as much as the best single visit is worth
SOFT = (0.3, 0.02)  # judgement: softness at first, and at last
SWEEP_EVERY = 4  # judgement: giving posts up costs as much as a round
STRIDES = np.array(
    [1.0, 0.7, 0.5, 0.35, 0.25, 0.17, 0.11, 0.07, 0.04, 0.02]
)  # judgement: a rough line search is enough


class Touch(NamedTuple):
    """Where the relaxed worth is touched: means over some walks, any of them giving a valid bound.

    ``seen`` and ``summed``, shape (m,), are u and the sum of p a less the overlap of neighbouring visits of each
    target, ``visits``, shape (n,), how often each post is visited.
    """

    seen: FloatArray
    summed: FloatArray
    visits: FloatArray


class NodeBound(NamedTuple):
    """Bound of a node and of each branch of it, where it was found, and the last relaxed walk.

    ``scope`` is what can still matter below it, ``lost`` bounds the walks through the rest, ``critical`` are the posts
    that relaxed walks may visit but once.
    """

    bound: float
    branch: FloatArray
    touch: Touch
    walk: IntArray
    size: int
    scope: Scope
    lost: float
    critical: IntArray


@njit(cache=True, nogil=True)
def nowhere(tables: Tables) -> Touch:
    """Where a bound begins that knows of no walk."""
    targets = tables.mass.size
    return Touch(np.zeros(targets), np.zeros(targets), np.zeros(tables.usable.size))


def earliest_leave(tables: Tables, relief: Relief, fixed: IntArray) -> int:
    """Earliest tick at which the last of the given posts can be left."""
    tick, here = 0, tables.start
    for post in fixed:
        if tick >= relief.ticks:
            return relief.ticks
        tick += int(tables.leg[tables.slot[tick], here, post] + relief.dwell.min())
        here = post
    return min(tick, relief.ticks)


@njit(cache=True, nogil=True)
def touch_walk(tables: Tables, relief: Relief, walk: IntArray, count: int) -> Touch:
    """Tell where a relaxed walk lies."""
    targets = tables.mass.size
    before, now, touch = np.zeros(targets), np.zeros(targets), nowhere(tables)
    for k in range(count):
        post, factor = walk[0, k], relief.factor[walk[1, k], walk[2, k]]
        touch.visits[post] += 1.0
        now[:] = 0.0
        for e in range(tables.row_start[post], tables.row_start[post + 1]):
            c = tables.target[e]
            caught = min(tables.chance[e] * factor, 1 - 1e-12)
            touch.seen[c] -= np.log1p(-caught)
            touch.summed[c] += caught * (1 - before[c])
            now[c] = caught
        before, now = now, before
    return touch


@njit(cache=True, nogil=True)
def pull(relief: Relief, scope: Scope, visits: FloatArray, post: int) -> float:
    """Price of a visit to a post: below 0 where walks visit it more than once, above it where a sure one is missed.

    Notes
    -----
    A price on what every route keeps (at most one visit; one visit to a sure post) leaves the bound valid whatever it
    is; this one is the slope of a penalty on breaking it (Hestenes 1969, Powell 1969).
    """
    if not scope.sure[post] and visits[post] <= 1.0:
        return 0.0
    return float(PULL * relief.single * (1.0 - visits[post]))


@njit(cache=True, nogil=True)
def stride(tables: Tables, relief: Relief, scope: Scope, here: Touch, to: Touch) -> float:
    """How far to move the touch towards a walk."""
    most, best = -np.inf, STRIDES[-1]
    visits = here.visits.copy()
    for far in STRIDES:
        worth = 0.0
        for c in range(here.seen.size):
            u = here.seen[c] + far * (to.seen[c] - here.seen[c])
            b = here.summed[c] + far * (to.summed[c] - here.summed[c])
            worth += tables.mass[c] * min(1 - np.exp(-u), b)
        visits[:] = here.visits + far * (to.visits - here.visits)
        for i in range(visits.size):
            worth -= 0.5 * pull(relief, scope, visits, i) * (1.0 - visits[i])
        if worth > most:
            most, best = worth, far
    return float(best)


def moved(here: Touch, to: Touch, far: float) -> Touch:
    """Move the touch a part of the way."""
    return Touch(*(old + far * (new - old) for old, new in zip(here, to, strict=True)))


def with_repeated(once: IntArray, scope: Scope, visits: FloatArray) -> IntArray:
    """Add the post that a relaxed walk repeats most to the critical ones, if the tables can carry it."""
    post, moments = int(np.argmax(visits)), int(scope.begin[scope.post].sum())
    if visits[post] <= 1.0 or (1 << (once.size + 1)) * moments > MOST_WORK or not scope.post[post]:
        return once
    return np.append(once, post)


@njit(cache=True, nogil=True)
def put_prices(relief: Relief, scope: Scope, visits: FloatArray, point: Point) -> float:
    """Put the pull of each post on its visits; gives what all of them add to the bound."""
    own = 0.0
    for i in range(visits.size):
        if scope.post[i]:
            price = pull(relief, scope, visits, i)
            point.gain[i] += price
            own -= price
    return own


def bound_node(
    tables: Tables,
    relief: Relief,
    fixed: IntArray,
    touch: Touch,
    prices: Prices,
    rounds: int,
    enough: float,
    within: Scope,
    critical: IntArray,
    turned: int,
) -> NodeBound:
    """Bound every walk of a scope that begins with the given posts.

    Parameters
    ----------
    tables, relief : the problem.
    fixed : the posts it begins with.
    touch : where to begin.
    prices : prices of what is limited.
    rounds : most relaxed walks to price.
    enough : stop once the bound is not above this; what lies on no walk above it is given up.
    within : what may follow the given posts.
    critical : posts that relaxed walks may visit but once; those that they repeat are added.
    turned : rounds made before, after which the choice between the two bounds is sharper.

    Notes
    -----
    Each round relaxes the worth where it is touched, prices the best relaxed walk (whose value is a bound), and moves
    the touch towards that walk, as Frank and Wolfe (1956) do on a concave function.
    """
    n, count = tables.usable.size, fixed.size
    scope = scope_after(tables, within, fixed)
    last = tables.start if count == 0 else int(fixed[-1])
    first = earliest_leave(tables, relief, fixed)
    here, kept, best, cap, best_branch = touch, touch, np.inf, np.inf, np.full(n + 1, np.inf)
    walk, size, lost, once = np.zeros((3, 1), np.int64), 0, -np.inf, critical[scope.post[critical]]
    awaited, known = scope.sure.copy(), np.zeros(n, np.bool_)
    awaited[fixed] = False
    if np.any(awaited & ~scope.post):
        cap = -1.0
    limits = prices.tick * relief.budget + prices.stop * min(tables.max_stops, n)
    limits += prices.walk * min(tables.max_walk / tables.step, 1e9) + prices.metre * min(tables.max_length, 1e12)
    for turn in range(rounds):
        known[:] = scope.post
        known[fixed] = True
        soft = max(SOFT[0] * 0.8 ** (turned + turn), SOFT[1])
        point = relax_at(tables, relief, here.seen, here.summed, known, soft)
        own = limits + point.constant + put_prices(relief, scope, here.visits, point)
        legs, top = legs_of(tables, relief, point, scope, last, first)
        ahead = look_ahead(tables, relief, point, prices, legs, top, scope, last, once)
        behind = look_behind(tables, relief, point, prices, fixed, count)
        most, when = branches(tables, relief, point, prices, ahead, behind, scope, last, count)
        branch = int(np.argmax(most))
        best_branch = np.minimum(best_branch, np.where(most > NEVER / 2, most + own, -1.0))
        if most[branch] + own < best:
            best, kept = most[branch] + own, here
        if most[branch] <= NEVER / 2 or min(best, cap) <= enough:
            break
        if turn % SWEEP_EVERY == SWEEP_EVERY - 1 or turn == rounds - 1:
            through = narrow(tables, relief, point, prices, ahead, behind, legs, scope, last, count, enough - own)
            lost = enough
            cap = min(cap, max(float(through[awaited].min(initial=np.inf)) + own, enough))
            if cap <= enough:
                break
        walk, size = trace(tables, relief, point, prices, ahead, behind, scope, fixed, count, branch, int(when[branch]))
        to = touch_walk(tables, relief, walk, size)
        once = with_repeated(once[scope.post[once]], scope, to.visits)
        here = moved(here, to, stride(tables, relief, scope, here, to))
    return NodeBound(min(float(best_branch.max()), cap), best_branch, kept, walk, size, scope, lost, once)
