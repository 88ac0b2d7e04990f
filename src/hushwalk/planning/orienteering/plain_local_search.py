"""Searching plain orienteering: destroy, fill up, drop, shorten, keep or not.

Where a search begins and when it stops is solve.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.heuristic.rng import seeded, uniform
from hushwalk.planning.orienteering.destroy_repair import (
    AT_ONCE,
    destroy_plain,
    drop_plain,
    places_to_try,
    repair_plain,
)
from hushwalk.planning.orienteering.local_search import WorkingRoute, activate, shorten
from hushwalk.planning.orienteering.plain import Plain, route_time, total_score
from hushwalk.types import FloatArray, IntArray

OVER_SHARE = 0.5  # judgement: half of the steps fill up beyond the budget first
THRIFT = 0.5  # judgement: time left over is worth half of what it brings on average; measured on few instances


@njit(cache=True)
def empty_working_route(n: int) -> WorkingRoute:
    """Room for a route among ``n`` places."""
    return WorkingRoute(np.zeros(n, np.int64), np.full(n, -1), np.zeros(n, np.int64), np.ones(n, np.bool_))


@njit(cache=True)
def set_working_route(working: WorkingRoute, route: IntArray, count: int) -> None:
    """Set the working route.

    Parameters
    ----------
    working : the working route, changed in place.
    route : shape (k,), places in order, start and end among them.
    count : places on the route, start and end among them.
    """
    working.where[:] = -1
    for k in range(count):
        working.route[k] = route[k]
        working.where[route[k]] = k


@njit(cache=True)
def search_plain(
    plain: Plain, now: IntArray, count: int, steps: int, temperature: FloatArray, seed: int
) -> tuple[IntArray, int, float, int]:
    """Search from a route (start, posts, end) for some steps.

    Parameters
    ----------
    plain : see :class:`Plain`.
    now, count : the route to begin with; overwritten by where the search stands at its end.
    steps : number of steps.
    temperature : temperature at first and at last, as a share of the score.
    seed : of this piece of the search.

    Returns
    -------
    tuple
        The best route met, its count and score, and the count of where the search stands.
    """
    rng, n = seeded(seed), plain.score.size
    working = empty_working_route(n)
    set_working_route(working, now, count)
    count, time = drop_plain(plain, working, count, route_time(plain, now, count))
    now[:count] = working.route[:count]
    score = total_score(plain, now, count) if time <= plain.budget else -1.0
    best, best_count, best_score, best_time = now.copy(), count, score, time
    for step in range(steps):
        set_working_route(working, now, count)
        size, many = destroy_plain(plain, working, count, rng) if step > 0 else (count, 0)
        among = places_to_try(plain, working, now, count, rng) if step > 0 else np.arange(n - 2)
        alpha = 0.5 + 1.5 * uniform(rng)
        noise = 2.0 * uniform(rng) ** 2
        most_over = 0.3 * min(1.0, AT_ONCE / max(count, 1))
        over = 1.0 + (most_over * uniform(rng) ** 2 if uniform(rng) < OVER_SHARE else 0.0)
        size, many = repair_plain(plain, working, size, many, plain.budget * over, among, alpha, noise, rng)
        if step == 0:
            for k in range(size):
                many = activate(working, many, working.route[k])
        shorten(plain.times, plain.near, plain.two_way, working, size, many)
        new_time = route_time(plain, working.route, size)
        size, new_time = drop_plain(plain, working, size, new_time)
        size, many = repair_plain(plain, working, size, 0, plain.budget, among, alpha, noise, rng)
        if many > 0:
            shorten(plain.times, plain.near, plain.two_way, working, size, many)
        new_time = route_time(plain, working.route, size)
        new_score = total_score(plain, working.route, size) if new_time <= plain.budget else -1.0
        thrift = THRIFT * max(best_score, 0.0) / max(plain.budget, 1e-12)
        gain = new_score - score + thrift * (time - new_time)
        current = temperature[0] * (temperature[1] / temperature[0]) ** (step / steps) * max(score, 1e-12)
        if gain >= 0 or uniform(rng) < np.exp(gain / current):
            now[:size], count, score, time = working.route[:size], size, new_score, new_time
            if score > best_score or (score == best_score and time < best_time):
                best[:count], best_count, best_score, best_time = now[:count], count, score, time
    return best, best_count, best_score, count
