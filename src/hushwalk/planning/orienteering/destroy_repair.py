"""The steps of a search in plain orienteering: tearing places out, filling up, dropping until the budget is kept.

Running costs are kept so that a step costs what it changes. Making a route quicker is local_search.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.heuristic.rng import Rng, integer_below, uniform
from hushwalk.planning.orienteering.local_search import WorkingRoute, activate
from hushwalk.planning.orienteering.plain import Plain
from hushwalk.types import FloatArray, IntArray

RUN_SHARE, SINGLE_SHARE = 0.5, 0.3  # judgement: the rest tears out what lies round one post
AT_ONCE = 60  # judgement: on long routes a step changes the surroundings of about so many places, not a share of all
MANY_PLACES = 400  # judgement: among more places a step looks at those near what it changes, not at all
ELSEWHERE = 8  # judgement: places of the route, besides those taken out, round which posts are tried
ENDS = (0, 1)  # definition: a route has a start and an end


@njit(cache=True)
def cheapest(plain: Plain, working: WorkingRoute, legs: FloatArray, count: int, post: int) -> tuple[float, int]:
    """Least time that a post adds, and the position it goes to.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route.
    legs : shape (n,), time of the leg to each position [s].
    count : places on the route, start and end among them.
    post : index of the post.

    Returns
    -------
    tuple of float and int
        Seconds added, and position.
    """
    route, where = working.route, working.where
    there_to, here_to = plain.times[post], plain.back[post]
    least, place = np.inf, 1
    if plain.score.size > MANY_PLACES:
        for near in plain.near[post]:
            at = where[near]
            if at < 0:
                continue
            for k in range(max(at, 1), min(at + 2, count)):
                added = here_to[route[k - 1]] + there_to[route[k]] - legs[k]
                if added < least:
                    least, place = added, k
        if least < np.inf:
            return least, place
    for k in range(1, count):
        added = here_to[route[k - 1]] + there_to[route[k]] - legs[k]
        if added < least:
            least, place = added, k
    return least, place


@njit(cache=True)
def places_to_try(plain: Plain, working: WorkingRoute, before: IntArray, count: int, rng: Rng) -> IntArray:
    """Posts to fill up with: all, or among many those taken out, some others, and what lies near to these.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route after places were taken out.
    before : shape (k,), the route before.
    count : places on the route before.
    rng : where all chance comes from.

    Returns
    -------
    ndarray
        Shape (m,), posts, those on the route among them.
    """
    n = plain.score.size - 2
    if n + 2 <= MANY_PLACES:
        return np.arange(n)
    chosen, found, many = np.zeros(n + 2, np.bool_), np.empty(n + 2, np.int64), 0
    chosen[n:] = True
    start = integer_below(rng, count)
    for k in range(count + ELSEWHERE):
        middle = before[k] if k < count else before[(start + k) % count]
        if k < count and working.where[middle] >= 0:
            continue
        if not chosen[middle]:
            chosen[middle] = True
            found[many] = middle
            many += 1
        for near in plain.near[middle]:
            if not chosen[near]:
                chosen[near] = True
                found[many] = near
                many += 1
    return found[:many]


@njit(cache=True)
def update_insertions(
    plain: Plain,
    working: WorkingRoute,
    legs: FloatArray,
    count: int,
    out: IntArray,
    added: FloatArray,
    place: IntArray,
    at: int,
) -> None:
    """Bring the least times of the posts off the route up to date after one has joined it.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route.
    legs : shape (n,), time of the leg to each position [s].
    count : places on the route, start and end among them.
    out : shape (m,), posts off the route.
    added : shape (n,), least time that each adds, changed in place [s].
    place : shape (n,), position that each goes to, changed in place.
    at : position of the post that has joined.
    """
    before, post, after = working.route[at - 1], working.route[at], working.route[at + 1]
    for j in out:
        if place[j] == at:
            added[j], place[j] = cheapest(plain, working, legs, count, j)
            continue
        if place[j] > at:
            place[j] += 1
        there_to, here_to = plain.times[j], plain.back[j]
        more = here_to[before] + there_to[post] - legs[at]
        if more < added[j]:
            added[j], place[j] = more, at
        more = here_to[post] + there_to[after] - legs[at + 1]
        if more < added[j]:
            added[j], place[j] = more, at + 1


@njit(cache=True)
def repair_plain(  # noqa: C901 (one loop with running costs, compiled as a whole)
    plain: Plain,
    working: WorkingRoute,
    count: int,
    many: int,
    budget: float,
    among: IntArray,
    alpha: float,
    noise: float,
    rng: Rng,
) -> tuple[int, int]:
    """Add posts by score to the power alpha for added time while they fit; gives the new count.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    many : places on the list of those to look at.
    budget : longest time [s].
    among : shape (m,), posts that may be added.
    alpha : power of the gain against the time.
    noise : spread of the random factors of the scores.
    rng : where all chance comes from.

    Returns
    -------
    tuple of int
        Places on the route, and on the list to look at.
    """
    times, route = plain.times, working.route
    n = plain.score.size - 2
    added, place, wish, out = np.empty(n), np.empty(n, np.int64), np.empty(n), np.empty(n, np.int64)
    left, room = 0, budget
    legs = np.empty(n + 2)
    for k in range(1, count):
        legs[k] = times[route[k - 1], route[k]]
        room -= legs[k]
    for j in among:
        if working.where[j] < 0:
            more, at = cheapest(plain, working, legs, count, j)
            added[j], place[j] = more, at
            out[left] = j
            left += 1
            wish[j] = plain.score[j] ** alpha * max(0.05, 1 + noise * (uniform(rng) - 0.5))
    while left > 0:
        best, post, slot = -1.0, -1, -1
        for q in range(left):
            j = out[q]
            if added[j] <= room:
                ratio = wish[j] / max(added[j], 1e-9 * budget)
                if ratio > best:
                    best, post, slot = ratio, j, q
        if post < 0:
            break
        at = place[post]
        for k in range(count, at, -1):
            route[k], legs[k] = route[k - 1], legs[k - 1]
            working.where[route[k]] = k
        route[at] = post
        working.where[post] = at
        count, room, left = count + 1, room - added[post], left - 1
        out[slot] = out[left]
        for k in (at, at - 1, at + 1):
            many = activate(working, many, route[k])
        legs[at], legs[at + 1] = times[route[at - 1], post], times[post, route[at + 1]]
        update_insertions(plain, working, legs, count, out[:left], added, place, at)
    return count, many


@njit(cache=True)
def destroy_plain(plain: Plain, working: WorkingRoute, count: int, rng: Rng) -> tuple[int, int]:
    """Take out a run, single posts, or the posts round one of them; gives the new count.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    rng : where all chance comes from.

    Returns
    -------
    tuple of int
        Places on the route, and on the list to look at.
    """
    inner = count - 2
    if inner <= 0:
        return count, 0
    route = working.route
    many = 1 + int(uniform(rng) ** 2 * max(1.0, 0.5 * min(inner, AT_ONCE)))
    how = uniform(rng)
    if how < RUN_SHARE:
        first = integer_below(rng, inner)
        for k in range(many):
            working.where[route[1 + (first + k) % inner]] = -1
    elif how < RUN_SHARE + SINGLE_SHARE:
        for _ in range(many):
            working.where[route[1 + integer_below(rng, inner)]] = -1
    else:
        middle = route[1 + integer_below(rng, inner)]
        near = np.empty(inner)
        for k in range(inner):
            near[k] = plain.times[middle, route[k + 1]] * (0.8 + 0.4 * uniform(rng))
        for k in np.argsort(near)[:many]:
            working.where[route[k + 1]] = -1
    return close_gaps(working, count, 0)


@njit(cache=True)
def close_gaps(working: WorkingRoute, count: int, many: int) -> tuple[int, int]:
    """Join what is left after some places were marked as off the route; gives the new count and the awake.

    Parameters
    ----------
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    many : places on the list of those to look at.

    Returns
    -------
    tuple of int
        Places on the route, and on the list to look at.
    """
    route, kept, gap = working.route, 0, False
    for k in range(count):
        place = route[k]
        if working.where[place] < 0:
            gap = True
            continue
        if gap:
            many = activate(working, many, place)
            many = activate(working, many, route[kept - 1])
            gap = False
        route[kept] = place
        working.where[place] = kept
        kept += 1
    return kept, many


@njit(cache=True)
def drop_plain(plain: Plain, working: WorkingRoute, count: int, total: float) -> tuple[int, float]:
    """Drop the runs worth least for what they save of the time in excess, until the budget is kept.

    Parameters
    ----------
    plain : plain orienteering laid out.
    working : the working route, changed in place.
    count : places on the route, start and end among them.
    total : most steps, or the time of the route [s].

    Returns
    -------
    tuple of int and float
        Places on the route, and its time [s].
    """
    times, route = plain.times, working.route
    while total > plain.budget and count > len(ENDS):
        over = total - plain.budget
        least, at, long, saved = np.inf, 1, 1, 0.0
        for first in range(1, count - 1):
            before = route[first - 1]
            walked, score = times[before, route[first]], 0.0
            for last in range(first, count - 1):
                score += plain.score[route[last]]
                if score >= least * over:
                    break
                after = route[last + 1]
                walked += times[route[last], after]
                saves = walked - times[before, after]
                if saves <= 0:
                    continue
                ratio = score / min(saves, over)
                if ratio < least or (ratio == least and saves > saved):
                    least, at, long, saved = ratio, first, last - first + 1, saves
        if saved <= 0.0:
            long, saved = count - 2, total
        for k in range(at, at + long):
            working.where[route[k]] = -1
        for k in range(at + long, count):
            route[k - long] = route[k]
            working.where[route[k]] = k - long
        count = count - long
        total -= saved
    return count, total
