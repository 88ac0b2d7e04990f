"""The search of the late morning in a day that is played: which birds' grounds, in which order, and what is found.

Lines through real ground are birds/search's; here ground is a size, so that hundreds of days can be played.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit

from hushwalk.types import FloatArray, IntArray

HALVINGS = 40  # definition: enough for the multiplier to be exact to rounding
WORTH_A_WALK = 0.01  # judgement: a ground that adds less than one log in a hundred days is not walked to


@dataclass(frozen=True)
class LateSearch:
    """How the late morning is searched.

    Parameters
    ----------
    minutes : from leaving the start to being back at the car [min].
    start_m, end_m : where it begins and ends [m].
    walk_ms : straight from ground to ground [m/s].
    sweep_ms : ground swept a second, sweep width times pace over the share of steps between lines [m2/s].
    minutes_at_log : at a log that is found [min].
    held : chance that a ground holds the log at all, 0..1.
    """

    minutes: float
    start_m: tuple[float, float]
    end_m: tuple[float, float]
    walk_ms: float
    sweep_ms: float
    minutes_at_log: float
    held: float


def found_chances(search: LateSearch, first: IntArray, xy_m: FloatArray, ground_m2: FloatArray) -> FloatArray:
    """Chance that each bird's log is found, over many days.

    Parameters
    ----------
    search : how the late morning is searched.
    first : shape (days + 1,); the birds of day d are ``first[d] .. first[d + 1]``.
    xy_m : shape (n, 2), middle of each bird's ground [m].
    ground_m2 : shape (n,), ``pi s1 s2`` of its normal ground; infinite where he was not heard [m2].

    Returns
    -------
    ndarray
        Shape (n,), 0..1.

    Notes
    -----
    A log lies normally scattered about the middle of its ground, and effort E = W L is spread over it in the best way
    (Koopman 1980): ``P = 1 - (1 + u) exp(-u)`` with ``u = sqrt(E / (pi s1 s2))``. Over several grounds the effort is
    shared so that one metre more finds as much in each. Grounds are taken up one by one, each time the one that finds
    most with the walk to it paid for, at the place of the round where it costs least, until none adds anything.

    References
    ----------
    koopman_1980
    """
    return np.asarray(
        _search_days(
            first,
            np.ascontiguousarray(xy_m),
            np.ascontiguousarray(ground_m2),
            np.array([*search.start_m, *search.end_m]),
            np.array([search.minutes * 60, search.walk_ms, search.sweep_ms, search.minutes_at_log * 60, search.held]),
        )
    )


def warm_up_late_search() -> None:
    """Search one ground of no meaning, so that another process may compile what a morning needs of this file."""
    search = LateSearch(1.0, (0.0, 0.0), (0.0, 0.0), 1.0, 1.0, 0.0, 1.0)
    found_chances(search, np.array([0, 1]), np.zeros((1, 2)), np.ones(1))


@njit(cache=True, nogil=True)
def _search_days(  # pragma: no cover  compiled
    first: IntArray, xy: FloatArray, ground: FloatArray, ends: FloatArray, how: FloatArray
) -> FloatArray:
    chance = np.zeros(len(ground))
    for day in range(len(first) - 1):
        own = np.arange(first[day], first[day + 1])
        own = own[np.isfinite(ground[own])]
        chance[own] = _search(xy[own], ground[own], ends, how)
    return chance


@njit(cache=True, nogil=True)
def _search(  # pragma: no cover  compiled
    xy: FloatArray, ground: FloatArray, ends: FloatArray, how: FloatArray
) -> FloatArray:
    """Take up grounds one by one; the time at logs that are found is paid for by its mean."""
    n = len(ground)
    order = np.full(n + 1, -1)
    count, walk_s, best, at_logs = 0, 0.0, 0.0, 0.0
    shares = np.zeros(n)
    while count < n:
        chosen, place, walk_then, most = -1, 0, 0.0, best
        for bird in range(n):
            taken = False
            for k in range(count):
                taken = taken or order[k] == bird
            if taken:
                continue
            slot, longer = _cheapest(xy, order[:count], bird, ends)
            left = how[0] - (walk_s + longer) / how[1] - at_logs
            if left <= 0:
                continue
            found = _shared(ground, np.append(order[:count], bird), left * how[2], how[4]).sum()
            if found > most + WORTH_A_WALK:
                chosen, place, walk_then, most = bird, slot, walk_s + longer, found
        if chosen < 0:
            break
        for k in range(count, place, -1):
            order[k] = order[k - 1]
        order[place] = chosen
        count, walk_s, best = count + 1, walk_then, most
        at_logs = best * how[3]
    for _ in range(3):  # what is found, and the time at it, settle in a few turns
        left = max(how[0] - walk_s / how[1] - at_logs, 0.0)
        shares = _shared(ground, order[:count], left * how[2], how[4])
        at_logs = shares.sum() * how[3]
    return shares


@njit(cache=True, nogil=True)
def _cheapest(  # pragma: no cover  compiled
    xy: FloatArray, order: IntArray, bird: int, ends: FloatArray
) -> tuple[int, float]:
    """Place in the round where a bird costs least, and how much longer the walk gets [m]; the first brings the way."""
    count, slot, least = len(order), 0, np.inf
    for k in range(count + 1):
        ax, ay = (ends[0], ends[1]) if k == 0 else (xy[order[k - 1], 0], xy[order[k - 1], 1])
        bx, by = (ends[2], ends[3]) if k == count else (xy[order[k], 0], xy[order[k], 1])
        there = np.hypot(xy[bird, 0] - ax, xy[bird, 1] - ay) + np.hypot(bx - xy[bird, 0], by - xy[bird, 1])
        more = there if count == 0 else there - np.hypot(bx - ax, by - ay)
        if more < least:
            slot, least = k, more
    return slot, least


@njit(cache=True, nogil=True)
def _shared(  # pragma: no cover  compiled
    ground: FloatArray, chosen: IntArray, effort_m2: float, held: float
) -> FloatArray:
    """Chance of every bird when the effort is spread over the grounds of a round."""
    chance = np.zeros(len(ground))
    if len(chosen) == 0 or effort_m2 <= 0:
        return chance
    size = ground[chosen]
    log_size = np.log(size)
    low, high = log_size.min(), log_size.min() + np.sqrt(effort_m2 / size.min()) + 1e-9
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        depth = np.maximum(middle - log_size, 0.0)
        if (size * depth * depth).sum() > effort_m2:
            high = middle
        else:
            low = middle
    depth = np.maximum(low - log_size, 0.0)
    chance[chosen] = held * (1 - (1 + depth) * np.exp(-depth))
    return chance
