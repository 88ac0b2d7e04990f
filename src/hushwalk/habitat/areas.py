"""Ranks places to begin a walk from: the males that a dawn walk could hear, and how distinct a place is from others.

Arrays only: how far one walks and hears is told by the caller, and plans of real walks are the planning room's.
"""

import heapq
from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray, IntArray

LEAST_GAIN = 1e-9  # definition: a stop that adds less adds nothing


@dataclass(frozen=True)
class WalkParams:
    """What a dawn walk from a car can do.

    Parameters
    ----------
    budget_s : from leaving the car to being back [s].
    dwell_s : of one stop [s].
    earshot_sd_m : scale of the half-normal chance to hear one display [m].
    stop_chance : chance that a male which displays this morning does so at least once during a stop, 0..1.
    participation : share of males that display at all this morning, 0..1.
    stops_max : no more stops than this.

    Raises
    ------
    SettingsError
        If a number cannot be.
    """

    budget_s: float
    dwell_s: float
    earshot_sd_m: float
    stop_chance: float
    participation: float
    stops_max: int = 30

    def __post_init__(self) -> None:
        if not (self.budget_s > 0 and self.dwell_s > 0 and self.earshot_sd_m > 0 and self.stops_max >= 1):
            raise SettingsError(f"a walk needs a budget, a dwell, an earshot above 0 and a stop or more, got {self}")
        if not (0 <= self.stop_chance <= 1 and 0 <= self.participation <= 1):
            raise SettingsError(f"chances lie between 0 and 1, got {self}")


@dataclass(frozen=True, eq=False)
class HeardWalk:
    """The males that a walk from one place could hear.

    Parameters
    ----------
    males : expected to be heard at least once.
    stops : shape (k,), numbers of the posts in the order of the walk.
    used_s : walking and listening, estimated [s].
    heard : shape (n_targets,), males heard by target.
    """

    males: float
    stops: IntArray = field(repr=False)
    used_s: float
    heard: FloatArray = field(repr=False)


def half_normal_sd(half_m: float) -> float:
    """Scale of a half-normal curve that falls to one half at a distance [m].

    Notes
    -----
    ``exp(-r^2 / (2 s^2)) = 1/2`` at ``r = s sqrt(2 ln 2)``.

    Examples
    --------
    >>> round(half_normal_sd(117.741), 2)
    100.0
    """
    return half_m / float(np.sqrt(2 * np.log(2)))


def best_walk(
    car_m: FloatArray,
    posts_m: FloatArray,
    out_s: FloatArray,
    targets_m: FloatArray,
    males: FloatArray,
    params: WalkParams,
) -> HeardWalk:
    """Choose stops one after the other, each where it adds most males for the time it takes.

    Parameters
    ----------
    car_m : shape (2,) [m].
    posts_m, out_s : shape (n, 2) and (n,), where one could listen, and the walking time there from the car [m, s].
    targets_m, males : shape (m, 2) and (m,), where males are expected, and how many [m].
    params : what the walk can do.

    Returns
    -------
    HeardWalk

    Notes
    -----
    A male at distance r from stops j is heard with ``p (1 - prod_j (1 - a exp(-r_j^2 / (2 s^2))))``, p the
    participation and a the chance of a display during a stop. The way between two posts is taken to last as long as
    the straight line at the pace of the ways from the car, and never less than their difference from the car; a stop
    is put between the two stops where it lengthens the walk least. It is an estimate to rank places by.
    """
    near = np.hypot(*(posts_m[:, np.newaxis] - targets_m[np.newaxis]).transpose(2, 0, 1))
    miss = 1 - params.stop_chance * np.exp(-((near / params.earshot_sd_m) ** 2) / 2)
    between_s = _between(car_m, posts_m, out_s)
    route, missed, used_s = [0, 0], np.ones(len(targets_m)), 0.0
    free = np.ones(len(posts_m), dtype=bool)
    while len(route) - 2 < params.stops_max and free.any():
        gain = (1 - miss) @ (males * missed)
        extra_s, place = _cheapest(route, between_s)
        fits = free & (used_s + extra_s + params.dwell_s <= params.budget_s) & (gain > LEAST_GAIN)
        if not fits.any():
            break
        worth = np.where(fits, gain / (extra_s + params.dwell_s), -1.0)
        best = int(np.argmax(worth))
        route.insert(int(place[best]), best + 1)
        used_s += float(extra_s[best]) + params.dwell_s
        missed = missed * miss[best]
        free[best] = False
    heard = params.participation * males * (1 - missed)
    return HeardWalk(float(heard.sum()), np.array(route[1:-1], dtype=np.int64) - 1, used_s, heard)


def _between(car_m: FloatArray, posts_m: FloatArray, out_s: FloatArray) -> FloatArray:
    """Estimated seconds between car (number 0) and posts, shape (n + 1, n + 1)."""
    straight_m = np.hypot(*(posts_m - car_m).T)
    far = straight_m > 0
    pace = float(np.median(out_s[far] / straight_m[far])) if far.any() else 1.0
    apart_m = np.hypot(*(posts_m[:, np.newaxis] - posts_m[np.newaxis]).transpose(2, 0, 1))
    found = np.zeros((len(posts_m) + 1, len(posts_m) + 1))
    found[0, 1:] = found[1:, 0] = out_s
    found[1:, 1:] = np.maximum(apart_m * pace, np.abs(out_s[:, np.newaxis] - out_s))
    return found


def _cheapest(route: list[int], between_s: FloatArray) -> tuple[FloatArray, IntArray]:
    """For every post, the least seconds that it adds to the route, and at which place of it."""
    legs = np.array([route[:-1], route[1:]])
    added = between_s[legs[0], 1:] + between_s[legs[1], 1:] - between_s[legs[0], legs[1]][:, np.newaxis]
    place = np.argmin(added, axis=0)
    return np.maximum(added[place, np.arange(added.shape[1])], 0.0), place.astype(np.int64) + 1


@dataclass(frozen=True, eq=False)
class Ranking:
    """Places in order.

    Parameters
    ----------
    order : shape (n,), numbers of the places, the best first.
    new_males : shape (n,), by place: males heard there that neither known ground nor better places hold.
    """

    order: IntArray = field(repr=False)
    new_males: FloatArray = field(repr=False)


def rank_distinct(heard: sparse.csr_array, males: FloatArray, known: FloatArray) -> Ranking:
    """Rank places by what each adds to those before it.

    Parameters
    ----------
    heard : shape (n, m), males heard from each place by cell of the ground.
    males : shape (m,), males on each cell, times their participation.
    known : shape (m,), share of each cell that is scouted already, 0..1.

    Returns
    -------
    Ranking

    Notes
    -----
    A cell counts for a place as far as no better place and no scouted ground has heard it. What a place adds can only
    shrink as others are chosen, so only the one that looks best must be looked at again.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        per_male = np.where(males > 0, 1 / males, 0.0)
    taken = np.clip(np.asarray(known, dtype=float).copy(), 0, 1)
    rows = [(heard.indices[a:b], heard.data[a:b]) for a, b in zip(heard.indptr[:-1], heard.indptr[1:], strict=True)]

    def adds(k: int) -> float:
        cells, values = rows[k]
        return float(values @ (1 - taken[cells]))

    waiting = [(-adds(k), k) for k in range(len(rows))]
    heapq.heapify(waiting)
    order, new = [], np.zeros(len(rows))
    while waiting:
        _, k = heapq.heappop(waiting)
        now = adds(k)
        if waiting and now < -waiting[0][0]:
            heapq.heappush(waiting, (-now, k))
            continue
        order.append(k)
        new[k] = now
        cells, values = rows[k]
        taken[cells] = np.maximum(taken[cells], np.clip(values * per_male[cells], 0, 1))
    return Ranking(np.array(order, dtype=np.int64), new)
