"""Plain orienteering, where a post is worth the same always: tearing out and filling up with running costs.

Overlap, dwell choices and the time of day are improve.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.dice import Dice, new_dice, pick, roll
from hushwalk.planning.shorten import shorten
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

RUN_SHARE, SINGLE_SHARE = 0.5, 0.3  # judgement: the rest tears out what lies round one post
OVER_SHARE = 0.5  # judgement: half of the steps fill up beyond the budget first
ENDS = (0, 1)  # definition: a route has a start and an end
THRIFT = 0.5  # judgement: time left over is worth half of what it brings on average; measured on few instances


class Plain(NamedTuple):
    """Times with the dwell at the far end folded in, and one score a post."""

    times: FloatArray
    score: FloatArray
    usable: BoolArray
    budget: float
    start: int
    end: int
    two_way: bool


def plain_of(tables: Tables) -> Plain:
    """Fold a problem without overlap and time of day into times and scores."""
    dwell = np.full(len(tables.usable), tables.dwell[0])
    dwell[[tables.start, tables.end]] = 0.0
    owner = np.repeat(np.arange(len(tables.usable)), np.diff(tables.row_start))
    worth = tables.chance * tables.mass[tables.target] * tables.factor[0, 0]
    score = np.bincount(owner, worth, minlength=len(tables.usable)).astype(np.float64)
    limit = min(tables.budget, tables.latest - tables.earliest)
    times = tables.travel[0]
    return Plain(
        times + dwell,
        score,
        tables.usable & (score > 0) & (times[tables.start] + dwell + times[:, tables.end] <= limit * (1 + 1e-9)),
        limit * (1 + 1e-9),
        tables.start,
        tables.end,
        bool(np.array_equal(times, times.T)),
    )


@njit(cache=True)
def route_time(plain: Plain, route: IntArray, count: int) -> float:
    """Time of a route of ``count`` places, start and end among them."""
    total = 0.0
    for k in range(count - 1):
        total += plain.times[route[k], route[k + 1]]
    return total


@njit(cache=True)
def cheapest(plain: Plain, route: IntArray, count: int, post: int) -> tuple[float, int]:
    """Least time that a post adds, and the position it goes to."""
    least, place = np.inf, 1
    for k in range(1, count):
        here, there = route[k - 1], route[k]
        added = plain.times[here, post] + plain.times[post, there] - plain.times[here, there]
        if added < least:
            least, place = added, k
    return least, place


@njit(cache=True)
def fill_plain(  # noqa: C901, PLR0912 (one loop with running costs, compiled as a whole)
    plain: Plain, route: IntArray, count: int, on: BoolArray, budget: float, alpha: float, noise: float, dice: Dice
) -> int:
    """Add posts by score to the power alpha for added time while they fit; gives the new count."""
    n = plain.score.size
    added, place, wish = np.empty(n), np.empty(n, np.int64), np.empty(n)
    for j in range(n):
        if plain.usable[j] and not on[j]:
            added[j], place[j] = cheapest(plain, route, count, j)
            wish[j] = plain.score[j] ** alpha * max(0.05, 1 + noise * (roll(dice) - 0.5))
    room = budget - route_time(plain, route, count)
    while True:
        best, post = -1.0, -1
        for j in range(n):
            if plain.usable[j] and not on[j] and added[j] <= room:
                ratio = wish[j] / max(added[j], 1e-9 * budget)
                if ratio > best:
                    best, post = ratio, j
        if post < 0:
            return count
        at = place[post]
        for k in range(count, at, -1):
            route[k] = route[k - 1]
        route[at] = post
        count, room = count + 1, room - added[post]
        on[post] = True
        for j in range(n):
            if not plain.usable[j] or on[j]:
                continue
            if place[j] == at:
                added[j], place[j] = cheapest(plain, route, count, j)
                continue
            place[j] += 1 if place[j] > at else 0
            for k in (at, at + 1):
                here, there = route[k - 1], route[k]
                more = plain.times[here, j] + plain.times[j, there] - plain.times[here, there]
                if more < added[j]:
                    added[j], place[j] = more, k


@njit(cache=True)
def tear_plain(plain: Plain, route: IntArray, count: int, on: BoolArray, dice: Dice) -> int:
    """Take out a run, single posts, or the posts round one of them; gives the new count."""
    inner = count - 2
    if inner <= 0:
        return count
    many = 1 + int(roll(dice) ** 2 * max(1.0, 0.5 * inner))
    out, how = np.zeros(count, np.bool_), roll(dice)
    if how < RUN_SHARE:
        first = pick(dice, inner)
        for k in range(many):
            out[1 + (first + k) % inner] = True
    elif how < RUN_SHARE + SINGLE_SHARE:
        for _ in range(many):
            out[1 + pick(dice, inner)] = True
    else:
        middle = route[1 + pick(dice, inner)]
        near = np.empty(inner)
        for k in range(inner):
            near[k] = plain.times[middle, route[k + 1]] * (0.8 + 0.4 * roll(dice))
        for k in np.argsort(near)[:many]:
            out[k + 1] = True
    kept = 0
    for k in range(count):
        if out[k]:
            on[route[k]] = False
        else:
            route[kept] = route[k]
            kept += 1
    return kept


@njit(cache=True)
def drop_plain(plain: Plain, route: IntArray, count: int, on: BoolArray) -> int:
    """Drop the runs worth least for what they save of the time in excess, until the budget is kept."""
    total = route_time(plain, route, count)
    while total > plain.budget and count > len(ENDS):
        over = total - plain.budget
        least, at, long, saved = np.inf, 1, 1, 0.0
        for first in range(1, count - 1):
            walked, score = plain.times[route[first - 1], route[first]], 0.0
            for last in range(first, count - 1):
                score += plain.score[route[last]]
                if score >= least * over:
                    break
                walked += plain.times[route[last], route[last + 1]]
                saves = walked - plain.times[route[first - 1], route[last + 1]]
                if saves <= 0:
                    continue
                ratio = score / min(saves, over)
                if ratio < least or (ratio == least and saves > saved):
                    least, at, long, saved = ratio, first, last - first + 1, saves
        if saved <= 0.0:
            long = count - 2
        for k in range(at, at + long):
            on[route[k]] = False
        for k in range(at, count - long):
            route[k] = route[k + long]
        count = count - long
        total = route_time(plain, route, count)
    return count


@njit(cache=True)
def total_score(plain: Plain, route: IntArray, count: int) -> float:
    """Score of the posts between start and end."""
    total = 0.0
    for k in range(1, count - 1):
        total += plain.score[route[k]]
    return total


@njit(cache=True)
def search_plain(
    plain: Plain, now: IntArray, count: int, steps: int, heat: FloatArray, seed: int
) -> tuple[IntArray, int, float, int]:
    """Search from a route (start, posts, end) for some steps.

    Parameters
    ----------
    plain : see :class:`Plain`.
    now, count : the route to begin with; overwritten by where the search stands at its end.
    steps : number of steps.
    heat : temperature at first and at last, as a share of the score.
    seed : of this piece of the search.

    Returns
    -------
    tuple
        The best route met, its count and score, and the count of where the search stands.
    """
    dice, on = new_dice(seed), np.zeros(plain.score.size, np.bool_)
    count = drop_plain(plain, now, count, on)
    time = route_time(plain, now, count)
    score = total_score(plain, now, count) if time <= plain.budget else -1.0
    best, best_count, best_score, best_time = now.copy(), count, score, time
    trial = now.copy()
    for step in range(steps):
        trial[:count] = now[:count]
        on[:] = False
        on[trial[:count]] = True
        size = tear_plain(plain, trial, count, on, dice) if step > 0 else count
        alpha = 0.5 + 1.5 * roll(dice)
        noise = 2.0 * roll(dice) ** 2
        over = 1.0 + (0.3 * roll(dice) ** 2 if roll(dice) < OVER_SHARE else 0.0)
        size = fill_plain(plain, trial, size, on, plain.budget * over, alpha, noise, dice)
        shorten(plain.times, trial, size, plain.two_way)
        size = drop_plain(plain, trial, size, on)
        size = fill_plain(plain, trial, size, on, plain.budget, alpha, noise, dice)
        new_time = route_time(plain, trial, size)
        new_score = total_score(plain, trial, size) if new_time <= plain.budget else -1.0
        thrift = THRIFT * max(best_score, 0.0) / max(plain.budget, 1e-12)
        gain = new_score - score + thrift * (time - new_time)
        warmth = heat[0] * (heat[1] / heat[0]) ** (step / steps) * max(score, 1e-12)
        if gain >= 0 or roll(dice) < np.exp(gain / warmth):
            now[:size], count, score, time = trial[:size], size, new_score, new_time
            if score > best_score or (score == best_score and time < best_time):
                best[:count], best_count, best_score, best_time = now[:count], count, score, time
    return best, best_count, best_score, count
