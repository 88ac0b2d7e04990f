"""What the stops of a route leave unheard, kept up as they change, so that a change costs only what it touches.

These are estimates to choose by; the worth that is offered is always worth.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.clock import factor_at
from hushwalk.planning.tables import Tables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
NEAR_ENOUGH = 0.03  # judgement: a factor off by this share still chooses well
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
def set_factor(tables: Tables, heard: Heard, post: int, factor: float) -> None:
    """Change the factor of one post; only what it shares targets with is touched."""
    heard.on[post] = factor
    for e in range(tables.row_start[post], tables.row_start[post + 1]):
        t = tables.target[e]
        first, last, left = tables.column_start[t], tables.column_start[t + 1], 1.0
        for q in range(first, last):
            left *= 1.0 - tables.column_chance[q] * heard.on[tables.column_post[q]]
        less = tables.mass[t] * (left - heard.missed[t])
        heard.missed[t] = left
        for q in range(first, last):
            heard.gain[tables.column_post[q]] += less * tables.column_chance[q]


@njit(cache=True)
def slope_on(tables: Tables, heard: Heard, post: int) -> float:
    """What a post on the route would gain at factor 1 were it taken out."""
    slope, factor = 0.0, heard.on[post]
    for e in range(tables.row_start[post], tables.row_start[post + 1]):
        t = tables.target[e]
        own = 1.0 - tables.chance[e] * factor
        left = heard.missed[t]
        if own > SURE:
            left /= own
        else:
            left = 1.0
            for q in range(tables.column_start[t], tables.column_start[t + 1]):
                if tables.column_post[q] != post:
                    left *= 1.0 - tables.column_chance[q] * heard.on[tables.column_post[q]]
        slope += tables.mass[t] * left * tables.chance[e]
    return slope


@njit(cache=True)
def follow(tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int) -> None:
    """Bring the state up to a timed route, where it is not near enough already."""
    posts, wanted = heard.on.size, np.zeros(heard.on.size)
    for k in range(count):
        wanted[stops[0, k]] = factor_at(tables, stops[1, k], begin[k])
    for j in range(posts):
        if abs(wanted[j] - heard.on[j]) > NEAR_ENOUGH * wanted[j]:
            set_factor(tables, heard, j, wanted[j])
    heard.slope[:] = heard.gain
    for k in range(count):
        heard.slope[stops[0, k]] = slope_on(tables, heard, stops[0, k])


@njit(cache=True)
def estimate(tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int) -> float:
    """Estimate the worth of a timed route near the one followed, up to a constant: straight along the slopes."""
    worth = 0.0
    for k in range(count):
        worth += heard.slope[stops[0, k]] * factor_at(tables, stops[1, k], begin[k])
    return worth


@njit(cache=True)
def loss_by_delay(
    tables: Tables, heard: Heard, stops: IntArray, begin: FloatArray, count: int, delay: float, loss: FloatArray
) -> None:
    """Fill ``loss[k, s]``: what the stops from k on lose when all begin ``s`` times ``delay`` later."""
    loss[count] = 0.0
    for k in range(count - 1, -1, -1):
        slope, now = heard.slope[stops[0, k]], factor_at(tables, stops[1, k], begin[k])
        for s in range(loss.shape[1]):
            then = factor_at(tables, stops[1, k], begin[k] + s * delay)
            loss[k, s] = loss[k + 1, s] + slope * (now - then)
