"""Adding stops to a route by gain for time, and dropping them until it fits.

What to destroy before, and whether to keep the outcome, is large_neighbourhood.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.heuristic.rng import Rng, uniform
from hushwalk.planning.heuristic.unheard import Heard, estimate, follow, follow_closely, loss_by_delay
from hushwalk.planning.model.clock import arrival, excess, factor_at, opens_in, run_clock
from hushwalk.planning.model.tables import Tables
from hushwalk.planning.model.worth import evaluate_route
from hushwalk.types import BoolArray, FloatArray, IntArray

TINY_S = 1.0  # judgement: a stop that costs no time is still compared by a second
DELAYS = 32  # judgement: into how many steps the time left is cut to look up what a delay costs
NOTHING = 1e-100  # definition: no gain at all; out of season even true gains are tiny


@njit(cache=True)
def insert_stop(stops: IntArray, waits: FloatArray, count: int, place: int, post: int, dwell: int) -> int:
    """Put a stop before position ``place``; gives the new count.

    Parameters
    ----------
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    place : position in the order of stops.
    post : index of the post.
    dwell : index of the dwell.

    Returns
    -------
    int
        Stops now.
    """
    for k in range(count, place, -1):
        stops[0, k], stops[1, k], waits[k + 1] = stops[0, k - 1], stops[1, k - 1], waits[k]
    stops[0, place], stops[1, place], waits[place + 1] = post, dwell, 0.0
    return count + 1


@njit(cache=True)
def remove_stop(stops: IntArray, waits: FloatArray, count: int, place: int) -> int:
    """Take out the stop at position ``place``; gives the new count.

    Parameters
    ----------
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    place : position in the order of stops.

    Returns
    -------
    int
        Stops now.
    """
    for k in range(place, count - 1):
        stops[0, k], stops[1, k], waits[k + 1] = stops[0, k + 1], stops[1, k + 1], waits[k + 2]
    return count - 1


@njit(cache=True)
def open_posts(tables: Tables, stops: IntArray, count: int) -> BoolArray:
    """Which posts may still be added to a route.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    count : stops of the route.

    Returns
    -------
    ndarray
        Shape (n,) of bool.
    """
    can = tables.usable.copy()
    for k in range(count):
        can[stops[0, k]] = False
        for j in range(can.size):
            if tables.clash[stops[0, k], j]:
                can[j] = False
    return can


@njit(cache=True)
def gaps(
    tables: Tables, stops: IntArray, waits: FloatArray, begin: FloatArray, count: int, clock: FloatArray, to: FloatArray
) -> None:
    """Note for each gap of a timed route when it is entered, and when the walk without a stop in it ends.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    clock : on being back [s].
    to : where it goes.
    """
    for k in range(count + 1):
        here = tables.start if k == 0 else stops[0, k - 1]
        there = tables.end if k == count else stops[0, k]
        clock[k] = tables.earliest + waits[0] if k == 0 else begin[k - 1] + tables.dwell[stops[1, k - 1]]
        to[k] = arrival(tables, here, there, clock[k])


@njit(cache=True)
def best_insertion(
    tables: Tables,
    heard: Heard,
    can: BoolArray,
    stops: IntArray,
    waits: FloatArray,
    begin: FloatArray,
    count: int,
    room: float,
    alpha: float,
    rng: Rng,
) -> tuple[int, int, int]:
    """Post, position and dwell with most gain, to the power alpha, for the time it costs; no post: -1.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    can : shape (n,), posts that may be added.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    room : shape (k + 1,), filled in: when each gap is entered, and when the walk without a stop in it ends [s].
    alpha : power of the gain against the time.
    rng : where all chance comes from.

    Returns
    -------
    tuple of int
        Post, position, dwell; -1 for none.
    """
    clock, to, loss = np.empty(count + 1), np.empty(count + 1), np.zeros((count + 1, DELAYS + 1))
    gaps(tables, stops, waits, begin, count, clock, to)
    delay, shortest = max(room, TINY_S) / DELAYS, tables.dwell.min()
    if tables.factor.shape[1] > 1:
        loss_by_delay(tables, heard, stops, begin, count, delay, loss)
    best, post, place, choice = 0.0, -1, 0, 0
    for j in range(can.size):
        if not can[j] or (heard.gain[j] <= NOTHING and not tables.must[j]):
            continue
        gain, luck, first = max(heard.gain[j], NOTHING), 0.8 + 0.4 * uniform(rng), 1e9 if tables.must[j] else 0.0
        most = gain**alpha * luck
        for k in range(count + 1):
            here, there = tables.start if k == 0 else stops[0, k - 1], tables.end if k == count else stops[0, k]
            quickest = tables.least[here, j] + shortest + tables.least[j, there] - (to[k] - clock[k])
            if quickest > room or most / max(quickest, TINY_S) + first <= best:
                continue
            arrive = arrival(tables, here, j, clock[k])
            arrive += opens_in(tables, j, arrive)
            if arrive > tables.latest or arrive - clock[k] > tables.budget:
                continue
            for w in range(tables.dwell.size):
                added = arrival(tables, j, there, arrive + tables.dwell[w]) - to[k]
                cost = max(added, TINY_S)
                if added > room or most / cost + first <= best:
                    continue
                later = min(max(int(added / delay + 0.5), 0), DELAYS)
                worth = gain * factor_at(tables, j, w, arrive) - loss[k, later]
                ratio = max(worth, NOTHING) ** alpha * luck / cost + first
                if ratio > best and (worth > 0.0 or tables.must[j]):
                    best, post, place, choice = ratio, j, k, w
    return post, place, choice


@njit(cache=True)
def repair(
    tables: Tables,
    stops: IntArray,
    waits: FloatArray,
    count: int,
    begin: FloatArray,
    heard: Heard,
    alpha: float,
    slack: float,
    rng: Rng,
) -> int:
    """Add stops while they fit into the limits stretched by ``slack`` [s]; gives the new count.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    heard : what the stops of the route leave unheard, kept up to date.
    alpha : power of the gain against the time.
    slack : by how much the limits may be broken meanwhile [s].
    rng : where all chance comes from.

    Returns
    -------
    int
        Stops now.
    """
    can = open_posts(tables, stops, count)
    run_clock(tables, stops, waits, count, begin)
    follow_closely(tables, heard, stops, begin, count)
    while count < min(tables.max_stops, stops.shape[1] - 1):
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        room = slack - excess(tables, waits, count, back, walk, length)
        if room < 0:
            break
        follow(tables, heard, stops, begin, count)
        post, place, choice = best_insertion(tables, heard, can, stops, waits, begin, count, room, alpha, rng)
        if post < 0:
            break
        can[post] = False
        count = insert_stop(stops, waits, count, place, post, choice)
        run_clock(tables, stops, waits, count, begin)
        waits[place + 1] = opens_in(tables, post, begin[place])
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) > slack:
            count = remove_stop(stops, waits, count, place)
            continue
        for j in range(can.size):
            can[j] = can[j] and not tables.clash[post, j]
    return count


@njit(cache=True)
def drop(tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray, heard: Heard) -> int:
    """Drop the stops worth least for their time until every limit is kept; gives the new count.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    heard : what the stops of the route leave unheard, kept up to date.

    Returns
    -------
    int
        Stops now.
    """
    trial_stops, trial_waits = stops.copy(), waits.copy()
    while count > 0:
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) <= 0:
            break
        follow_closely(tables, heard, stops, begin, count)
        worth = estimate(tables, heard, stops, begin, count)
        least, place = np.inf, count - 1
        for k in range(count):
            trial_stops[:, :count], trial_waits[: count + 1] = stops[:, :count], waits[: count + 1]
            fewer = remove_stop(trial_stops, trial_waits, count, k)
            earlier, _walk, _length = run_clock(tables, trial_stops, trial_waits, fewer, begin)
            left = estimate(tables, heard, trial_stops, begin, fewer)
            ratio = (worth - left) / max(back - earlier, TINY_S) + (1e9 if tables.must[stops[0, k]] else 0.0)
            if ratio < least:
                least, place = ratio, k
        count = remove_stop(stops, waits, count, place)
    return count


@njit(cache=True)
def keeps_must(tables: Tables, stops: IntArray, count: int) -> bool:
    """Whether every post that must be visited is on the route.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    count : stops of the route.

    Returns
    -------
    bool
        Whether they all are.
    """
    found = 0
    for k in range(count):
        found += 1 if tables.must[stops[0, k]] else 0
    return bool(found == tables.must.sum())


@njit(cache=True)
def value(
    tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray, missed: FloatArray
) -> tuple[float, float]:
    """Worth and clock on being back; -1 where a limit is broken or a post that must be visited is missing.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    missed : shape (m,), chance that each target is missed so far, 0..1.

    Returns
    -------
    tuple of float
        Worth, -1 where a limit is broken, and clock on being back [s].
    """
    worth, back = evaluate_route(tables, stops, waits, count, begin, missed)
    return (worth if keeps_must(tables, stops, count) else -1.0), back
