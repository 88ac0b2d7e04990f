"""What the stops of a route leave unheard, kept up as they change, so that a change costs only what it touches.

These are estimates to choose by; the worth that is offered is always worth.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.planning.model.clock import factor_at
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray

NEAR_ENOUGH = 0.1  # judgement: a factor off by this share still chooses well
ONE_BY_ONE = 3  # judgement: how much dearer a target is where one post is changed than where all are worked out
SURE = 1e-6  # definition: a target missed with less chance than this is not divided by


class Heard(NamedTuple):
    """The state: factor of each post (0: no stop), what each target and each post has left, and its slope.

    ``gain[j]`` is the gain of post j at factor 1 on top of the others, and ``slope[j]`` how the worth grows with its
    factor: the gain where it is not on the route, and what it would gain were it taken out where it is.
    """

    on: FloatArray
    missed: FloatArray
    gain: FloatArray
    slope: FloatArray


@njit(cache=True)
def hear_nothing(tables: Tables) -> Heard:
    """State of a route without stops."""
    posts = tables.usable.size
    gain = np.zeros(posts)
    for j in range(posts):
        for e in range(tables.row_start[j], tables.row_start[j + 1]):
            gain[j] += tables.mass[tables.target[e]] * tables.chance[e]
    return Heard(np.zeros(posts), np.ones(tables.mass.size), gain, gain.copy())


@njit(cache=True)
def copy_heard(heard: Heard, to: Heard) -> None:
    """Copy one state over another."""
    to.on[:], to.missed[:], to.gain[:], to.slope[:] = heard.on, heard.missed, heard.gain, heard.slope


@njit(cache=True)
def missed_without(tables: Tables, heard: Heard, target: int, post: int) -> float:
    """Chance that every post on the route but one misses a target.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    target : index of the target.
    post : the one that is left out.

    Returns
    -------
    float
        Chance, 0..1.
    """
    left = 1.0
    for q in range(tables.column_start[target], tables.column_start[target + 1]):
        if tables.column_post[q] != post:
            left *= 1.0 - tables.column_chance[q] * heard.on[tables.column_post[q]]
    return left


@njit(cache=True)
def set_factor(tables: Tables, heard: Heard, post: int, factor: float) -> None:
    """Change the factor of one post; only what it shares targets with is touched.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    post : index of the post.
    factor : of every chance, 0..1.
    """
    before = heard.on[post]
    heard.on[post] = factor
    for e in range(tables.row_start[post], tables.row_start[post + 1]):
        t, own = tables.target[e], 1.0 - tables.chance[e] * before
        others = heard.missed[t] / own if own > SURE else missed_without(tables, heard, t, post)
        left = others * (1.0 - tables.chance[e] * factor)
        less = tables.mass[t] * (left - heard.missed[t])
        heard.missed[t] = left
        for q in range(tables.column_start[t], tables.column_start[t + 1]):
            heard.gain[tables.column_post[q]] += less * tables.column_chance[q]


@njit(cache=True)
def hear_anew(tables: Tables, heard: Heard, wanted: FloatArray) -> None:
    """Work the whole state out for these factors of the posts; quicker than one by one where many change.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    wanted : shape (n,), factor of each post, 0 where it is off the route.
    """
    heard.on[:], heard.missed[:] = wanted, 1.0
    for j in range(wanted.size):
        if wanted[j] > 0:
            for e in range(tables.row_start[j], tables.row_start[j + 1]):
                heard.missed[tables.target[e]] *= 1.0 - tables.chance[e] * wanted[j]
    for j in range(wanted.size):
        gain = 0.0
        for e in range(tables.row_start[j], tables.row_start[j + 1]):
            gain += tables.mass[tables.target[e]] * heard.missed[tables.target[e]] * tables.chance[e]
        heard.gain[j] = gain


@njit(cache=True)
def slope_on(tables: Tables, heard: Heard, post: int) -> float:
    """What a post on the route would gain at factor 1 were it taken out.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    post : index of the post.

    Returns
    -------
    float
        In the unit of the worth.
    """
    slope, factor = 0.0, heard.on[post]
    for e in range(tables.row_start[post], tables.row_start[post + 1]):
        t = tables.target[e]
        own = 1.0 - tables.chance[e] * factor
        left = heard.missed[t] / own if own > SURE else missed_without(tables, heard, t, post)
        slope += tables.mass[t] * left * tables.chance[e]
    return slope


@njit(cache=True)
def follow(tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int) -> None:
    """Bring the state up to a timed route, where it is not near enough; the slopes of its stops stay as they were.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    stops : shape (2, k), posts in order and dwell choices.
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    """
    posts, wanted = heard.on.size, np.zeros(heard.on.size)
    for k in range(count):
        wanted[stops[0, k]] = factor_at(tables, stops[0, k], stops[1, k], begin[k])
    touched = 0
    for j in range(posts):
        if abs(wanted[j] - heard.on[j]) > NEAR_ENOUGH * wanted[j]:
            touched += tables.row_start[j + 1] - tables.row_start[j]
    if touched * ONE_BY_ONE > tables.mass.size:
        hear_anew(tables, heard, wanted)
    elif touched > 0:
        for j in range(posts):
            if abs(wanted[j] - heard.on[j]) > NEAR_ENOUGH * wanted[j]:
                set_factor(tables, heard, j, wanted[j])
    for j in range(posts):
        if wanted[j] <= 0:
            heard.slope[j] = heard.gain[j]


@njit(cache=True)
def follow_closely(tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int) -> None:
    """Follow a route, and work out the slopes of its own stops too.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    stops : shape (2, k), posts in order and dwell choices.
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    """
    follow(tables, heard, stops, begin, count)
    for k in range(count):
        heard.slope[stops[0, k]] = slope_on(tables, heard, stops[0, k])


@njit(cache=True)
def estimate(tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int) -> float:
    """Estimate the worth of a timed route near the one followed, up to a constant: straight along the slopes.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    stops : shape (2, k), posts in order and dwell choices.
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.

    Returns
    -------
    float
        In the unit of the worth, up to a constant.
    """
    worth = 0.0
    for k in range(count):
        worth += heard.slope[stops[0, k]] * factor_at(tables, stops[0, k], stops[1, k], begin[k])
    return worth


@njit(cache=True)
def loss_by_delay(
    tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int, delay: float, loss: FloatArray
) -> None:
    """Fill ``loss[k, s]``: what the stops from k on lose when all begin ``s`` times ``delay`` later.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    stops : shape (2, k), posts in order and dwell choices.
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    delay : one step of delay [s].
    loss : shape (k, DELAYS), filled in.
    """
    loss[count] = 0.0
    for k in range(count - 1, -1, -1):
        slope, now = heard.slope[stops[0, k]], factor_at(tables, stops[0, k], stops[1, k], begin[k])
        for s in range(loss.shape[1]):
            then = factor_at(tables, stops[0, k], stops[1, k], begin[k] + s * delay)
            loss[k, s] = loss[k + 1, s] + slope * (now - then)
