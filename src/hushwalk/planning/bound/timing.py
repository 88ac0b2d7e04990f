"""The best times of a given order of posts: when each stop begins and how long it lasts, exactly.

Which order is worth timing is branch_and_bound.py's business.
"""

import numpy as np
from numba import njit

from hushwalk.planning.bound.backward_labels import NEVER, Prices, home
from hushwalk.planning.bound.forward_labels import ForwardLabels, fill_forward_labels
from hushwalk.planning.bound.node import NodeBound
from hushwalk.planning.bound.relaxation import Point, Relaxation, gain_at, relax_at
from hushwalk.planning.model.clock import excess, run_clock
from hushwalk.planning.model.tables import Tables
from hushwalk.planning.model.worth import reset_missed, route_worth
from hushwalk.types import FloatArray, IntArray

LOOKS = 300_000  # judgement: a second or so; beyond it the bound of the order is kept
SMOOTHING = 0.02  # judgement: the last and tightest softness of a node's rounds


def time_best(
    tables: Tables, relaxation: Relaxation, fixed: tuple[int, ...], found: NodeBound, prices: Prices, cutoff: float
) -> tuple[IntArray, FloatArray, float, float]:
    """Time an order of posts as well as possible.

    Parameters
    ----------
    tables, relaxation, prices : the problem.
    fixed : the posts in order.
    found : the bound of this order, for the point to relax at.
    cutoff : times that are worth no more than this are not looked for.

    Returns
    -------
    tuple
        Stops, waits and worth (-1: none above the cutoff), and a bound on what any times of this order are worth
        (minus infinity: none is worth more than the cutoff).
    """
    posts = np.array(fixed, np.int64)
    seen, summed = found.tangent.seen, found.tangent.summed
    dwells, ticks, worth, ended = _time(tables, relaxation, posts, seen, summed, prices, cutoff, LOOKS)
    stops = np.array([posts, dwells], np.int64).reshape(2, -1)
    waits = _waits(tables, relaxation, stops, ticks)
    return stops, waits, worth, (-np.inf if ended else np.inf)


def _waits(tables: Tables, relaxation: Relaxation, stops: IntArray, ticks: IntArray) -> FloatArray:
    """Turn the tick of setting out and of each beginning into waits."""
    waits, clock, here = [float(ticks[0])], int(ticks[0]), tables.start
    for post, dwell, begin in zip(stops[0].tolist(), stops[1].tolist(), ticks[1:].tolist(), strict=True):
        arrive = clock + int(tables.leg[tables.slot[clock], here, post])
        waits.append(float(begin - arrive))
        clock, here = begin + int(relaxation.dwell[dwell]), post
    return np.array(waits) * tables.step


@njit(cache=True, nogil=True)
def _next_choice(  # noqa: PLR0917 (compiled code takes no keywords)
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    forward: ForwardLabels,
    posts: IntArray,
    k: int,
    choices: IntArray,
    begin_tick: IntArray,
    after: FloatArray,
    factors: FloatArray,
    need: float,
    changing: bool,
) -> int:
    """Next (tick, dwell) at which stop k is left that can still beat the need; -1 when there is none."""
    dwells, n = relaxation.dwell.size, posts.size
    choice, begin_after = choices[k], begin_tick[k + 1]
    worth_after, factor_after = after[k + 1], factors[k + 1]
    there = tables.end if k == n else posts[k]
    while choice >= 0:
        tick, w = choice // dwells, choice % dwells
        so_far = forward.value[k, w, tick]
        if so_far > NEVER and tick + tables.leg[tables.slot[tick], posts[k - 1], there] <= begin_after:
            begins = tick - relaxation.dwell[w]
            less = 0.0
            if k < n:
                less = point.overlap[posts[k - 1], there] * relaxation.factor[w, begins] * factor_after
            if so_far - less + worth_after > need:
                later = tick + 1 + tables.leg[tables.slot[min(tick + 1, relaxation.ticks - 1)], posts[k - 1], there]
                if changing or later > begin_after:
                    return int(choice)
        choice -= 1
    return -1


@njit(cache=True, nogil=True)
def _time(
    tables: Tables,
    relaxation: Relaxation,
    posts: IntArray,
    seen: FloatArray,
    summed: FloatArray,
    prices: Prices,
    cutoff: float,
    looks: int,
) -> tuple[IntArray, IntArray, float, bool]:
    """Search the times backwards from the end, depth first, with the relaxed worth of what lies before as a bound."""
    n, dwells, ticks = posts.size, relaxation.dwell.size, relaxation.ticks
    known = np.zeros(tables.usable.size, np.bool_)
    known[posts] = True
    point = relax_at(tables, relaxation, seen, summed, known, SMOOTHING)
    forward = fill_forward_labels(tables, relaxation, point, prices, posts, n)
    own = prices.tick * relaxation.budget + prices.stop * min(tables.max_stops, tables.usable.size) + point.constant
    own += prices.walk * min(tables.max_walk / tables.step, 1e9) + prices.metre * min(tables.max_length, 1e12)
    best_dwell, best_tick, best = np.zeros(n, np.int64), np.zeros(n + 1, np.int64), -1.0
    stops, waits, begin = np.zeros((2, n + 1), np.int64), np.zeros(n + 2), np.zeros(n + 1)
    stops[0, :n] = posts
    missed = np.ones(tables.mass.size)
    choice, after = np.full(n + 2, ticks * dwells - 1), np.zeros(n + 2)
    begin_tick, factor = np.full(n + 2, ticks - 1), np.zeros(n + 2)
    changing = tables.factor.shape[1] > 1 or tables.breaks.size > 0 or relaxation.budget < ticks - 1
    level, looked = n, 0
    while level <= n:
        need = max(cutoff, best * (1 + 1e-9)) - own
        if level > 0:
            if looked >= looks:
                return best_dwell, best_tick, best, False
            looked += 1
            chosen = _next_choice(
                tables, relaxation, point, forward, posts, level, choice, begin_tick, after, factor, need, changing
            )
            if chosen < 0:
                choice[level] = ticks * dwells - 1
                level += 1
                continue
            choice[level] = chosen - 1
            tick, w = chosen // dwells, chosen % dwells
            begin_tick[level], stops[1, level - 1] = tick - relaxation.dwell[w], w
            factor[level] = relaxation.factor[w, begin_tick[level]]
            worth = _chosen_worth(tables, relaxation, point, prices, posts, level, w, tick, begin_tick[level], factor)
            after[level] = after[level + 1] + worth
            level -= 1
            continue
        exact = _exact_worth(tables, relaxation, posts, begin_tick, stops, waits, begin, missed)
        if exact > best:
            best, best_dwell[:] = exact, stops[1, :n]
            best_tick[0] = int(waits[0] / tables.step + 0.5)
            best_tick[1:] = begin_tick[1 : n + 1]
        level = 1
        if n == 0:
            break
    return best_dwell, best_tick, best, True


@njit(cache=True, nogil=True)
def _chosen_worth(
    tables: Tables,
    relaxation: Relaxation,
    point: Point,
    prices: Prices,
    posts: IntArray,
    level: int,
    dwell: int,
    tick: int,
    begin_tick: int,
    factor: FloatArray,
) -> float:
    """Relaxed worth of stop ``level`` and of the leg that follows it."""
    worth: float = gain_at(relaxation, point, posts[level - 1], dwell, begin_tick) - prices.stop
    if level == posts.size:
        return float(worth + home(tables, relaxation, prices, posts[level - 1], tick))
    over = point.overlap[posts[level - 1], posts[level]] * factor[level] * factor[level + 1]
    leg = tables.leg[tables.slot[tick], posts[level - 1], posts[level]]
    return float(worth - over - prices.walk * leg - prices.metre * tables.length[posts[level - 1], posts[level]])


@njit(cache=True, nogil=True)
def _exact_worth(
    tables: Tables,
    relaxation: Relaxation,
    posts: IntArray,
    begin_tick: IntArray,
    stops: IntArray,
    waits: FloatArray,
    begin: FloatArray,
    missed: FloatArray,
) -> float:
    """True worth of the chosen times; -1 where they break a limit."""
    _set_out(tables, posts, begin_tick, relaxation, stops, waits)
    back, walk, length = run_clock(tables, stops, waits, posts.size, begin)
    if excess(tables, waits, posts.size, back, walk, length) > 0:
        return -1.0
    exact = route_worth(tables, stops, begin, posts.size, missed)
    reset_missed(tables, stops, posts.size, missed)
    return float(exact)


@njit(cache=True, nogil=True)
def _set_out(
    tables: Tables, posts: IntArray, begin_tick: IntArray, relaxation: Relaxation, stops: IntArray, waits: FloatArray
) -> None:
    """Set out as late as the first stop allows, and wait as long as the beginnings ask for."""
    first = posts[0] if posts.size > 0 else tables.end
    clock = 0
    limit = begin_tick[1] if posts.size > 0 else relaxation.ticks - 1
    for tick in range(limit, -1, -1):
        if tick + tables.leg[tables.slot[tick], tables.start, first] <= limit:
            clock = tick
            break
    waits[0] = clock * tables.step
    here = tables.start
    for k in range(posts.size):
        arrive = clock + tables.leg[tables.slot[clock], here, posts[k]]
        waits[k + 1] = (begin_tick[k + 1] - arrive) * tables.step
        clock, here = begin_tick[k + 1] + relaxation.dwell[stops[1, k]], posts[k]
