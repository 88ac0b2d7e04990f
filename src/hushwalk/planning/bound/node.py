"""The bound of all walks that begin with given posts, made better by moving the point where its tangent is taken.

Which beginnings are looked at, and in which order, is branch_and_bound.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.bound.arc_fixing import fix_arcs
from hushwalk.planning.bound.backward_labels import NEVER, Prices
from hushwalk.planning.bound.domain import Domain, domain_after, legs_of
from hushwalk.planning.bound.forward_labels import branch_bounds, fill_forward_labels, trace
from hushwalk.planning.bound.pricing import fill_backward_labels
from hushwalk.planning.bound.relaxation import Point, Relaxation, relax_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray

MOST_WORK = 60_000  # judgement: sets of critical posts times moments; more made rounds slower, not bounds better
MULTIPLIER_SCALE = (
    1.0  # judgement: a post that walks visit twice on the average costs as much as the best single visit is worth
)
SMOOTHING = (0.3, 0.02)  # judgement: softness at first, and at last
FIX_EVERY = 4  # judgement: giving posts up costs as much as a round
STEP_SIZES = np.array(
    [1.0, 0.7, 0.5, 0.35, 0.25, 0.17, 0.11, 0.07, 0.04, 0.02]
)  # judgement: a rough line search is enough


class TangentPoint(NamedTuple):
    """Where the tangent of the relaxed worth is taken: means over some walks, any of them giving a valid bound.

    ``seen`` and ``summed``, shape (m,), are u and the sum of p a less the overlap of neighbouring visits of each
    target, ``visits``, shape (n,), how often each post is visited.
    """

    seen: FloatArray
    summed: FloatArray
    visits: FloatArray


class NodeBound(NamedTuple):
    """Bound of a node and of each branch of it, where it was found, and the last relaxed walk.

    ``domain`` is what can still matter below it, ``lost`` bounds the walks through the rest, ``critical`` are the posts
    that relaxed walks may visit but once.
    """

    bound: float
    branch: FloatArray
    tangent: TangentPoint
    walk: IntArray
    size: int
    domain: Domain
    lost: float
    critical: IntArray


@njit(cache=True, nogil=True)
def no_tangent(tables: Tables) -> TangentPoint:
    """Where a bound begins that knows of no walk."""
    targets = tables.mass.size
    return TangentPoint(np.zeros(targets), np.zeros(targets), np.zeros(tables.usable.size))


def earliest_leave(tables: Tables, relaxation: Relaxation, fixed: IntArray) -> int:
    """Earliest tick at which the last of the given posts can be left.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    fixed : shape (k,), posts that the walk begins with, in order.

    Returns
    -------
    int
        Tick, at most the count of ticks.
    """
    tick, here = 0, tables.start
    for post in fixed:
        if tick >= relaxation.ticks:
            return relaxation.ticks
        tick += int(tables.leg[tables.slot[tick], here, post] + relaxation.dwell.min())
        here = post
    return min(tick, relaxation.ticks)


@njit(cache=True, nogil=True)
def tangent_at_walk(tables: Tables, relaxation: Relaxation, walk: IntArray, count: int) -> TangentPoint:
    """Find the tangent point at a relaxed walk: where the worth of that walk itself is relaxed tightly.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    walk : shape (3, k), posts, dwells and ticks of beginning.
    count : stops of the walk.

    Returns
    -------
    TangentPoint
        Sums over the visits of the walk.
    """
    targets = tables.mass.size
    before, now, tangent = np.zeros(targets), np.zeros(targets), no_tangent(tables)
    for k in range(count):
        post, factor = walk[0, k], relaxation.factor[walk[1, k], walk[2, k]]
        tangent.visits[post] += 1.0
        now[:] = 0.0
        for e in range(tables.row_start[post], tables.row_start[post + 1]):
            c = tables.target[e]
            caught = min(tables.chance[e] * factor, 1 - 1e-12)
            tangent.seen[c] -= np.log1p(-caught)
            tangent.summed[c] += caught * (1 - before[c])
            now[c] = caught
        before, now = now, before
    return tangent


@njit(cache=True, nogil=True)
def multiplier(relaxation: Relaxation, domain: Domain, visits: FloatArray, post: int) -> float:
    """Price of a visit to a post: below 0 where walks visit it more than once, above it where a sure one is missed.

    Parameters
    ----------
    relaxation : of that problem.
    domain : what may still be on a walk.
    visits : shape (n,), how often relaxed walks visit each post on the mean.
    post : index of the post.

    Returns
    -------
    float
        Price in the unit of the worth.

    Notes
    -----
    A price on what every route keeps (at most one visit; one visit to a sure post) leaves the bound valid whatever it
    is; this one is the slope of a penalty on breaking it (Hestenes 1969, Powell 1969).
    """
    if not domain.sure[post] and visits[post] <= 1.0:
        return 0.0
    return float(MULTIPLIER_SCALE * relaxation.single * (1.0 - visits[post]))


@njit(cache=True, nogil=True)
def step_size(tables: Tables, relaxation: Relaxation, domain: Domain, here: TangentPoint, to: TangentPoint) -> float:
    """How far to move the tangent point towards a walk.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    domain : what may still be on a walk.
    here : where the tangent point is.
    to : at the last relaxed walk.

    Returns
    -------
    float
        Share of the way, one of STEP_SIZES.
    """
    most, best = -np.inf, STEP_SIZES[-1]
    visits = here.visits.copy()
    for far in STEP_SIZES:
        worth = 0.0
        for c in range(here.seen.size):
            u = here.seen[c] + far * (to.seen[c] - here.seen[c])
            b = here.summed[c] + far * (to.summed[c] - here.summed[c])
            worth += tables.mass[c] * min(1 - np.exp(-u), b)
        visits[:] = here.visits + far * (to.visits - here.visits)
        for i in range(visits.size):
            worth -= 0.5 * multiplier(relaxation, domain, visits, i) * (1.0 - visits[i])
        if worth > most:
            most, best = worth, far
    return float(best)


def moved(here: TangentPoint, to: TangentPoint, far: float) -> TangentPoint:
    """Move the tangent point a part of the way.

    Parameters
    ----------
    here : where the tangent point is.
    to : at the last relaxed walk.
    far : share of the way, 0..1.

    Returns
    -------
    TangentPoint
        Between the two.
    """
    return TangentPoint(*(old + far * (new - old) for old, new in zip(here, to, strict=True)))


def with_repeated(once: IntArray, domain: Domain, visits: FloatArray) -> IntArray:
    """Add the post that a relaxed walk repeats most to the critical ones, if the tables can carry it.

    Parameters
    ----------
    once : shape (k,), posts that are critical so far.
    domain : what may still be on a walk.
    visits : shape (n,), how often relaxed walks visit each post on the mean.

    Returns
    -------
    ndarray
        Shape (k,) or (k + 1,).
    """
    post, moments = int(np.argmax(visits)), int(domain.begin[domain.post].sum())
    if visits[post] <= 1.0 or (1 << (once.size + 1)) * moments > MOST_WORK or not domain.post[post]:
        return once
    return np.append(once, post)


@njit(cache=True, nogil=True)
def set_multipliers(relaxation: Relaxation, domain: Domain, visits: FloatArray, point: Point) -> float:
    """Put the multiplier of each post on its visits; gives what all of them add to the bound.

    Parameters
    ----------
    relaxation : of that problem.
    domain : what may still be on a walk.
    visits : shape (n,), how often relaxed walks visit each post on the mean.
    point : the relaxed worth at one point.

    Returns
    -------
    float
        To be added to the constant.
    """
    own = 0.0
    for i in range(visits.size):
        if domain.post[i]:
            price = multiplier(relaxation, domain, visits, i)
            point.gain[i] += price
            own -= price
    return own


def bound_node(
    tables: Tables,
    relaxation: Relaxation,
    fixed: IntArray,
    tangent: TangentPoint,
    prices: Prices,
    rounds: int,
    enough: float,
    within: Domain,
    critical: IntArray,
    turned: int,
) -> NodeBound:
    """Bound every walk of a domain that begins with the given posts.

    Parameters
    ----------
    tables, relaxation : the problem.
    fixed : the posts it begins with.
    tangent : where to begin.
    prices : prices of what is limited.
    rounds : most relaxed walks to price.
    enough : stop once the bound is not above this; what lies on no walk above it is given up.
    within : what may follow the given posts.
    critical : posts that relaxed walks may visit but once; those that they repeat are added.
    turned : rounds made before, after which the choice between the two bounds is sharper.

    Returns
    -------
    NodeBound
        The least bound of all rounds, and what was learnt.

    Notes
    -----
    Each round relaxes the worth at the tangent point, prices the best relaxed walk (whose value is a bound), and
    moves the tangent point towards that walk, as Frank and Wolfe (1956) do on a concave function.
    """
    n, count = tables.usable.size, fixed.size
    domain = domain_after(tables, within, fixed)
    last = tables.start if count == 0 else int(fixed[-1])
    first = earliest_leave(tables, relaxation, fixed)
    here, kept, best, cap, best_branch = tangent, tangent, np.inf, np.inf, np.full(n + 1, np.inf)
    walk, size, lost, once = np.zeros((3, 1), np.int64), 0, -np.inf, critical[domain.post[critical]]
    awaited, known = domain.sure.copy(), np.zeros(n, np.bool_)
    awaited[fixed] = False
    if np.any(awaited & ~domain.post):
        cap = -1.0
    limits = prices.tick * relaxation.budget + prices.stop * min(tables.max_stops, n)
    limits += prices.walk * min(tables.max_walk / tables.step, 1e9) + prices.metre * min(tables.max_length, 1e12)
    for turn in range(rounds):
        known[:] = domain.post
        known[fixed] = True
        soft = max(SMOOTHING[0] * 0.8 ** (turned + turn), SMOOTHING[1])
        point = relax_at(tables, relaxation, here.seen, here.summed, known, soft)
        own = limits + point.constant + set_multipliers(relaxation, domain, here.visits, point)
        legs, top = legs_of(tables, relaxation, point, domain, last, first)
        backward = fill_backward_labels(tables, relaxation, point, prices, legs, top, domain, last, once)
        forward = fill_forward_labels(tables, relaxation, point, prices, fixed, count)
        most, when = branch_bounds(tables, relaxation, point, prices, backward, forward, domain, last, count)
        branch = int(np.argmax(most))
        best_branch = np.minimum(best_branch, np.where(most > NEVER / 2, most + own, -1.0))
        if most[branch] + own < best:
            best, kept = most[branch] + own, here
        if most[branch] <= NEVER / 2 or min(best, cap) <= enough:
            break
        if turn % FIX_EVERY == FIX_EVERY - 1 or turn == rounds - 1:
            best_via = fix_arcs(
                tables, relaxation, point, prices, backward, forward, legs, domain, last, count, enough - own
            )
            lost = enough
            cap = min(cap, max(float(best_via[awaited].min(initial=np.inf)) + own, enough))
            if cap <= enough:
                break
        walk, size = trace(
            tables, relaxation, point, prices, backward, forward, domain, fixed, count, branch, int(when[branch])
        )
        to = tangent_at_walk(tables, relaxation, walk, size)
        once = with_repeated(once[domain.post[once]], domain, to.visits)
        here = moved(here, to, step_size(tables, relaxation, domain, here, to))
    return NodeBound(min(float(best_branch.max()), cap), best_branch, kept, walk, size, domain, lost, once)
