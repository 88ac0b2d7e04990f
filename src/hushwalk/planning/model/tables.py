"""A problem laid out as plain arrays for compiled code.

Nothing is searched or checked here; the problem's own meaning is problem.py's.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from hushwalk.planning.model.problem import Problem
from hushwalk.types import BoolArray, FloatArray

NO_LIMIT = 1e30  # definition: larger than any time or length, and safe to add to
NO_WAY = 30000  # definition: more ticks than any walk has, and fits into 16 bits
TICK_TOLERANCE = 1e-6  # definition: a time this far above a whole tick is still that tick


class Tables(NamedTuple):
    """What compiled code reads; one type only, so that everything is compiled once.

    ``row_start`` and what follows lists the targets of each post, ``column_start`` the same by target.
    ``own`` is the factor of each post by tick; it has no rows where all posts wake at the same hour.
    ``least`` is the quickest any leg can be.
    ``leg[slot[t], i, j]`` is the leg from i to j begun at tick t, in ticks; both are empty where there are no ticks.
    """

    travel: FloatArray
    least: FloatArray
    breaks: FloatArray
    row_start: NDArray[np.int64]
    target: NDArray[np.int64]
    chance: FloatArray
    column_start: NDArray[np.int64]
    column_post: NDArray[np.int64]
    column_chance: FloatArray
    mass: FloatArray
    dwell: FloatArray
    factor: FloatArray
    own: FloatArray
    leg: NDArray[np.int16]
    slot: NDArray[np.int64]
    length: FloatArray
    usable: BoolArray
    must: BoolArray
    clash: BoolArray
    step: float
    earliest: float
    latest: float
    budget: float
    max_walk: float
    max_length: float
    start: int
    end: int
    max_stops: int


@lru_cache(maxsize=8)
def tables_of(problem: Problem) -> Tables:
    """Lay a problem out for compiled code; asked again for the same problem, it gives the same tables.

    Notes
    -----
    Targets that the start and end catch themselves keep only the worth that is left. Columns of ``factor`` are the
    ticks from ``earliest`` to ``latest``; one column where worth does not change with the time of day.
    """
    rows, columns, n = problem.chance, problem.chance.tocsc(), problem.posts
    usable = np.ones(n, bool)
    usable[[problem.start, problem.end, *problem.forbidden]] = False
    must = np.zeros(n, bool)
    must[list(problem.must_visit)] = True
    clash = np.zeros((n, n), bool)
    first, second = problem.conflicts.T
    clash[first, second] = clash[second, first] = True
    leg, slot = legs_by_tick(problem)
    length = np.zeros((n, n)) if problem.length_m is None else np.array(problem.length_m)
    return Tables(
        travel=np.minimum(problem.travel_s, NO_LIMIT),
        least=np.minimum(problem.travel_s, NO_LIMIT).min(axis=0),
        breaks=np.array(problem.period_starts_s, np.float64),
        row_start=rows.indptr.astype(np.int64),
        target=rows.indices.astype(np.int64),
        chance=np.array(rows.data),
        column_start=columns.indptr.astype(np.int64),
        column_post=columns.indices.astype(np.int64),
        column_chance=np.array(columns.data),
        mass=problem.mass - passing_worth(problem),
        dwell=np.array(problem.dwell_s),
        factor=factor_by_tick(problem),
        own=own_by_tick(problem),
        leg=leg,
        slot=slot,
        length=length,
        usable=usable,
        must=must,
        clash=clash,
        step=float(problem.step_s),
        earliest=float(problem.earliest_s),
        latest=float(problem.latest_s),
        budget=float(problem.budget_s),
        max_walk=NO_LIMIT if problem.max_walk_s is None else float(problem.max_walk_s),
        max_length=NO_LIMIT if problem.max_length_m is None else float(problem.max_length_m),
        start=int(problem.start),
        end=int(problem.end),
        max_stops=int(n if problem.max_stops is None else problem.max_stops),
    )


def passing_worth(problem: Problem) -> FloatArray:
    """Worth of each target that the start and end catch themselves, shape (m,)."""
    missed = np.ones(problem.targets)
    for place in {problem.start, problem.end} if problem.passing_factor > 0 else set():
        row = problem.chance[[place], :].toarray().ravel()
        missed *= 1 - row * problem.passing_factor
    return problem.mass * (1 - missed)


def factor_by_tick(problem: Problem) -> FloatArray:
    """Availability by dwell and by tick since ``earliest_s``, shape (dwells, ticks)."""
    if problem.post_availability is None and np.all(problem.availability == problem.availability[:, :1]):
        return np.array(problem.availability[:, :1])
    clock = problem.earliest_s + problem.step_s * np.arange(ticks_of(problem))
    return np.array([np.interp(clock, problem.clock_s, row) for row in problem.availability])


def own_by_tick(problem: Problem) -> FloatArray:
    """Factor of each post by tick since ``earliest_s``, shape (n, ticks); no rows where the posts have none."""
    if problem.post_availability is None:
        return np.zeros((0, 1))
    clock = problem.earliest_s + problem.step_s * np.arange(ticks_of(problem))
    return np.array([np.interp(clock, problem.clock_s, row) for row in problem.post_availability])


def ticks_of(problem: Problem) -> int:
    """Count of whole ticks from ``earliest_s`` to ``latest_s``, both ends among them."""
    return int((problem.latest_s - problem.earliest_s) / problem.step_s + TICK_TOLERANCE) + 1


def legs_by_tick(problem: Problem) -> tuple[NDArray[np.int16], NDArray[np.int64]]:
    """Legs in whole ticks by when they begin, shape (slots, n, n), and the slot of each tick.

    Notes
    -----
    A leg is walked at the pace of each period it meets and its arrival rounded up to a whole tick; once the last
    period has begun, all ticks share one slot.
    """
    n = problem.posts
    if problem.step_s <= 0:
        return np.zeros((0, n, n), np.int16), np.zeros(0, np.int64)
    clock = problem.earliest_s + problem.step_s * np.arange(ticks_of(problem))
    breaks = np.array(problem.period_starts_s)
    changing = int(np.sum(clock < breaks[-1])) if len(breaks) else 0
    starts = clock[: changing + 1]
    legs = np.array([leg_times(problem.travel_s, breaks, float(t)) for t in starts])
    ticks = np.ceil(np.minimum(legs / problem.step_s, NO_WAY) - TICK_TOLERANCE).astype(np.int16)
    return ticks, np.minimum(np.arange(len(clock)), len(starts) - 1)


def leg_times(travel_s: FloatArray, breaks: FloatArray, leave: float) -> FloatArray:
    """Time of every leg begun at ``leave``, walked at the pace of each period it meets, shape (n, n) [s].

    Parameters
    ----------
    travel_s : shape (periods, n, n), whole legs at the pace of each period [s].
    breaks : shape (periods - 1,), clock at which the next period begins [s].
    leave : clock [s].

    Returns
    -------
    ndarray
        [s].
    """
    left, took = np.ones(travel_s.shape[1:]), np.zeros(travel_s.shape[1:])
    clock = leave
    for k in range(int(np.searchsorted(breaks, leave, side="right")), len(breaks)):
        whole = np.minimum(travel_s[k], NO_LIMIT)
        span = breaks[k] - clock
        ends = left * whole <= span
        took += np.where(left > 0, np.where(ends, left * whole, span), 0.0)
        left = np.where(ends, 0.0, left - span / np.maximum(whole, 1e-9))
        clock = breaks[k]
    return np.asarray(took + left * np.minimum(travel_s[-1], NO_LIMIT))
