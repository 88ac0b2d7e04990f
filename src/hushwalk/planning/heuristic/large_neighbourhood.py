"""Large-neighbourhood search on the exact worth: destroy, fill up, drop, polish, keep or not.

Where the first routes come from and when to stop is search_state.py's business.
"""

import numpy as np
from numba import njit

from hushwalk.planning.heuristic.repair import drop, insert_stop, keeps_must, remove_stop, repair, value
from hushwalk.planning.heuristic.rng import Rng, integer_below, seeded, uniform
from hushwalk.planning.heuristic.unheard import Heard, copy_heard, estimate, follow_closely, hear_nothing
from hushwalk.planning.model.clock import excess, run_clock
from hushwalk.planning.model.tables import Tables
from hushwalk.planning.model.worth import evaluate_route
from hushwalk.types import FloatArray, IntArray

TURN, MOVE, LINGER, WAIT, EXCHANGE = range(5)
LONGEST_WAIT = 3  # judgement: small changes move a beginning by up to three ticks
RUN_SHARE = 0.6  # routing notes: three times in five a run of stops is taken out, else single ones
FORGET_WAITS, NEW_START = 0.3, 0.2  # judgement: how often waits are dropped and another time to leave is tried
OVER_SHARE = 0.3  # routing notes: three times in ten the route is filled beyond the budget, then cut back
TRIES = (40, 8)  # judgement: small changes that may fail in a row, and more of them for each stop
EQUAL = 1e-9  # definition: worths nearer than this share are the same, and the quicker route wins


@njit(cache=True)
def destroy(tables: Tables, stops: IntArray, waits: FloatArray, count: int, rng: Rng) -> int:
    """Take a run of stops (three times in five) or single ones out, and now and then every wait.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    rng : where all chance comes from.

    Returns
    -------
    int
        Stops that are left.
    """
    if count == 0:
        return count
    many = 1 + int(uniform(rng) ** 2 * max(1.0, 0.6 * count))
    if uniform(rng) < RUN_SHARE:
        first = integer_below(rng, count)
        for _ in range(many):
            if first < count:
                count = remove_stop(stops, waits, count, first)
    else:
        for _ in range(many):
            if count > 0:
                count = remove_stop(stops, waits, count, integer_below(rng, count))
    if uniform(rng) < FORGET_WAITS:
        waits[: count + 1] = 0.0
    if uniform(rng) < NEW_START and tables.step > 0:
        free = max(0.0, tables.latest - tables.earliest - min(tables.budget, tables.max_walk))
        waits[0] = np.floor(uniform(rng) * (free / tables.step + 1)) * tables.step
    return count


@njit(cache=True)
def reverse_run(stops: IntArray, waits: FloatArray, first: int, last: int) -> None:
    """Walk a run of stops the other way round.

    Parameters
    ----------
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    first : first position.
    last : last position.
    """
    for k in range((last - first + 1) // 2):
        for row in range(2):
            stops[row, first + k], stops[row, last - k] = stops[row, last - k], stops[row, first + k]
    waits[first + 1 : last + 2] = 0.0


@njit(cache=True)
def exchange(tables: Tables, stops: IntArray, count: int, place: int, post: int) -> bool:
    """Put another post in the place of one, where the rules allow it.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    count : stops of the route.
    place : position in the order of stops.
    post : index of the post.

    Returns
    -------
    bool
        Whether it was done.
    """
    allowed = tables.usable[post]
    for k in range(count):
        if stops[0, k] == post or (k != place and tables.clash[stops[0, k], post]):
            allowed = False
    if allowed:
        stops[0, place] = post
    return bool(allowed)


@njit(cache=True)
def perturb(tables: Tables, stops: IntArray, waits: FloatArray, count: int, kind: int, a: int, rng: Rng) -> int:
    """One small change of a route in place, of stop ``a``; gives the new count (-1 where it means nothing).

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    kind : which of the small changes.
    a : position of the stop.
    rng : where all chance comes from.

    Returns
    -------
    int
        Stops now, -1 where the change means nothing.
    """
    done, b = False, integer_below(rng, count)
    if kind == TURN and a < b:
        reverse_run(stops, waits, a, b)
        done = True
    elif kind == MOVE and a != b:
        post, dwell = stops[0, a], stops[1, a]
        fewer = remove_stop(stops, waits, count, a)
        insert_stop(stops, waits, fewer, min(b, fewer), post, dwell)
        done = True
    elif kind == LINGER and tables.dwell.size > 1:
        stops[1, a] = (stops[1, a] + 1 + integer_below(rng, tables.dwell.size - 1)) % tables.dwell.size
        done = True
    elif kind == WAIT and tables.factor.shape[1] + tables.breaks.size > 1 and tables.step > 0:
        ticks = integer_below(rng, 2 * LONGEST_WAIT) - LONGEST_WAIT
        waits[a] += tables.step * (ticks if ticks < 0 else ticks + 1)
        done = waits[a] >= 0
    elif kind == EXCHANGE:
        done = exchange(tables, stops, count, a, integer_below(rng, tables.usable.size))
    return count if done else -1


@njit(cache=True)
def promising(
    tables: Tables,
    heard: Heard,
    stops: IntArray,
    waits: FloatArray,
    count: int,
    begin: FloatArray,
    aim: tuple[float, float, float],
) -> bool:
    """Whether a change keeps the limits and may beat ``aim``: the estimate, its margin and the clock on being back.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    heard : what the stops of the route leave unheard, kept up to date.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    aim : worth to beat.

    Returns
    -------
    bool
        Whether it is worth the exact evaluation.
    """
    back, walk, length = run_clock(tables, stops, waits, count, begin)
    if excess(tables, waits, count, back, walk, length) > 0:
        return False
    guess = estimate(tables, heard, stops, begin, count)
    return bool(guess > aim[0] + aim[1] or (guess > aim[0] - aim[1] and back < aim[2] - EQUAL * aim[2]))


@njit(cache=True)
def local_search(
    tables: Tables,
    stops: IntArray,
    waits: FloatArray,
    count: int,
    begin: FloatArray,
    missed: FloatArray,
    heard: Heard,
    worth: float,
    back: float,
    rng: Rng,
) -> tuple[int, float]:
    """Make small changes that help, chosen at random, until many in a row did not; gives the new count and worth.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    missed : shape (m,), chance that each target is missed so far, 0..1.
    heard : what the stops of the route leave unheard, kept up to date.
    worth : of the route.
    back : clock on being back [s].
    rng : where all chance comes from.

    Returns
    -------
    tuple of int and float
        Stops and worth now.
    """
    if count == 0:
        return count, worth
    kept_stops, kept_waits, failed = stops.copy(), waits.copy(), 0
    follow_closely(tables, heard, stops, begin, count)
    guess = estimate(tables, heard, stops, begin, count)
    while failed < TRIES[0] + TRIES[1] * count:
        kind, a = integer_below(rng, 9) // 2, integer_below(rng, count)
        new_count = perturb(tables, stops, waits, count, kind, a, rng)
        better, margin = False, EQUAL * max(worth, 1e-30)
        if new_count >= 0 and (
            kind == EXCHANGE or promising(tables, heard, stops, waits, new_count, begin, (guess, margin, back))
        ):
            new_worth, new_back = evaluate_route(tables, stops, waits, new_count, begin, missed)
            if new_worth > worth + margin or (new_worth > worth - margin and new_back < back - EQUAL * back):
                better = keeps_must(tables, stops, new_count)
        if better:
            worth, back, count, failed = new_worth, new_back, new_count, 0
            kept_stops[:, :count], kept_waits[: count + 1] = stops[:, :count], waits[: count + 1]
            follow_closely(tables, heard, stops, begin, count)
            guess = estimate(tables, heard, stops, begin, count)
        else:
            stops[:, :count], waits[: count + 1] = kept_stops[:, :count], kept_waits[: count + 1]
            failed += 1
    return count, worth


@njit(cache=True, nogil=True)
def search(
    tables: Tables,
    stops: IntArray,
    waits: FloatArray,
    count: int,
    steps: int,
    hot: float,
    cold: float,
    seed: int,
) -> tuple[IntArray, FloatArray, int, float, int]:
    """Search from a route and bring it to where the walk of the search ends.

    Parameters
    ----------
    tables : see :class:`Tables`.
    stops, waits, count : the route to begin with; overwritten by where the search stands at its end.
    steps : number of steps.
    hot, cold : temperature at first and at last, as a share of the worth.
    seed : of this piece of the search.

    Returns
    -------
    tuple
        Stops, waits, count and worth of the best route met, and the count of where the search stands.
    """
    rng = seeded(seed)
    begin, missed = np.zeros(stops.shape[1]), np.ones(tables.mass.size)
    now, _back = value(tables, stops, waits, count, begin, missed)
    kept, heard = hear_nothing(tables), hear_nothing(tables)
    follow_closely(tables, kept, stops, begin, count)
    best, best_count, best_stops, best_waits = now, count, stops.copy(), waits.copy()
    trial, trial_waits = stops.copy(), waits.copy()
    for step in range(steps):
        trial[:, :count], trial_waits[: count + 1] = stops[:, :count], waits[: count + 1]
        copy_heard(kept, heard)
        size = destroy(tables, trial, trial_waits, count, rng) if step > 0 else count
        alpha = 0.5 + 1.5 * uniform(rng)
        over = 0.15 * tables.budget if uniform(rng) < OVER_SHARE else 0.0
        size = repair(tables, trial, trial_waits, size, begin, heard, alpha, over, rng)
        size = drop(tables, trial, trial_waits, size, begin, heard)
        worth, back = value(tables, trial, trial_waits, size, begin, missed)
        if worth > 0.97 * now and worth >= 0:
            size, worth = local_search(tables, trial, trial_waits, size, begin, missed, heard, worth, back, rng)
            if tables.dwell.size == 1 and tables.factor.shape[1] == 1:
                size = repair(tables, trial, trial_waits, size, begin, heard, alpha, 0.0, rng)
                worth, back = value(tables, trial, trial_waits, size, begin, missed)
        warmth = hot * (cold / hot) ** (step / steps) * max(now, 1e-12)
        if worth >= 0 and (worth > now or uniform(rng) < np.exp((worth - now) / max(warmth, 1e-300))):
            now, count = worth, size
            stops[:, :size], waits[: size + 1] = trial[:, :size], trial_waits[: size + 1]
            run_clock(tables, trial, trial_waits, size, begin)
            follow_closely(tables, heard, trial, begin, size)
            copy_heard(heard, kept)
            if now > best * (1 + EQUAL) or best < 0:
                best, best_count = now, count
                best_stops[:, :count], best_waits[: count + 1] = stops[:, :count], waits[: count + 1]
    return best_stops, best_waits, best_count, best, count
