"""Where the minutes of a search find most: grounds grown from the best spot outwards, and how often each is walked.

The lines through a ground are search_strips.py's business; the clock and the way on foot are search_plan.py's.
"""

import heapq
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.ndimage import uniform_filter

from hushwalk.notes.figures import figure
from hushwalk.science.search_theory import sweep_width_m
from hushwalk.types import BoolArray, FloatArray, IntArray

XY = tuple[float, float]
EVEN_M = 12.0  # judgement: chance is evened out over a strip or so to either side before ground is taken up
BIRDS_MAX = 10  # judgement: the ten likeliest birds; nobody searches the ground of more in one morning


@dataclass(frozen=True)
class EffortParams:
    """How ground is searched.

    Parameters
    ----------
    seen_from_m : distance at which a log is just seen [m].
    sweep_m : effective width seen on a walk [m].
    strip_m : from one line to the next [m].
    pace_ms : walking and looking [m/s].
    minutes_at_log : at a log that is found [min].
    round_log_m : ground round a found log that is looked over for others of his [m].
    ring_m2 : ground is taken up in pieces of this size [m2].
    turning : steps from line to line, as a share of the lines.
    passes : times that a ground is walked at most.
    """

    seen_from_m: float = figure("search", "seen_from_m")
    sweep_m: float = sweep_width_m(figure("search", "seen_from_m"), "medium")
    strip_m: float = figure("search", "strip_m")
    pace_ms: float = figure("search", "pace_ms")
    minutes_at_log: float = figure("search", "minutes_at_log")
    round_log_m: float = figure("search", "round_log_m")
    ring_m2: float = figure("search", "ring_m2")
    turning: float = figure("search", "turning")
    passes: int = 2

    @property
    def once(self) -> float:
        """Chance to find a log on ground that is walked once, ``1 - exp(-W / strip)``."""
        return float(-np.expm1(-self.sweep_m / self.strip_m))

    @property
    def round_log_s(self) -> float:
        """Seconds to look over the ground round a found log, along lines that lie as far apart as in the search."""
        return float(np.pi) * self.round_log_m**2 / self.strip_m / self.pace_ms

    @property
    def ring_s(self) -> float:
        """Seconds to walk one piece of ground once."""
        return self.ring_m2 / self.strip_m / self.pace_ms * (1 + self.turning)


def effort_of(seen_from_m: float | None = None, pace_ms: float | None = None) -> EffortParams:
    """Say how ground is searched by a person who sees so far and walks so fast; None for the usual.

    Parameters
    ----------
    seen_from_m : distance at which a log is just seen, walked out from one in several directions [m].
    pace_ms : walking and looking [m/s].

    Returns
    -------
    EffortParams
        Lines lie as far apart as one sees on both sides, within the bounds of the table of field figures.

    References
    ----------
    koester_2014
    """
    usual = EffortParams()
    seen = usual.seen_from_m if seen_from_m is None else seen_from_m
    strip = min(usual.strip_m, max(figure("search", "strip_thick_m"), 2 * seen))
    return EffortParams(seen, sweep_width_m(seen, "medium"), strip, usual.pace_ms if pace_ms is None else pace_ms)


@dataclass(frozen=True, eq=False)
class Likelihood:
    """Ground that most likely holds one bird's log, and what may be found on it.

    Parameters
    ----------
    bird : its name.
    xy_m : cell centres, shape (n, 2) [m].
    chance : logs expected in each cell, shape (n,): his, and those of others.
    cell_m : size of a cell [m].
    by_bird : chance of each cell to hold the log of a bird, by its name, each of shape (n,).
    """

    bird: str
    xy_m: FloatArray = field(repr=False)
    chance: FloatArray = field(repr=False)
    cell_m: float
    by_bird: Mapping[str, FloatArray] = field(default_factory=dict, repr=False)


@dataclass(frozen=True, eq=False)
class GroundEffort:
    """How one ground is searched.

    Parameters
    ----------
    bird : whose it is, as its place in the list of likelihoods.
    order : its cells in the order in which they are taken up, shape (n,), from the best spot outwards.
    cells : how many of them are walked once, twice, ..., largest first.
    chance : to find the log.
    seconds : inside the ground, with the time at a log that is found [s].
    """

    bird: int
    order: IntArray = field(repr=False)
    cells: tuple[int, ...]
    chance: float
    seconds: float


def grown(where: Likelihood, cells_max: int | None = None) -> IntArray:
    """Take up the cells of a ground from its best spot outwards, the likeliest neighbour next.

    Parameters
    ----------
    where : the chances.
    cells_max : no more are asked for; None for all.

    Returns
    -------
    ndarray
        Places of the cells in the list, shape (k,): those joined to the best cell by cells that hold anything.
    """
    key = np.round((where.xy_m - where.xy_m.min(axis=0)) / where.cell_m).astype(int)
    index = {(int(a), int(b)): i for i, (a, b) in enumerate(key)}
    level = _evened(where, key)
    first = int(np.argmax(level))
    order: list[int] = []
    waiting, seen = [(-float(level[first]), first)], {first}
    while waiting:
        chance, i = heapq.heappop(waiting)
        if chance >= 0 or len(order) == cells_max:
            break
        order.append(i)
        a, b = int(key[i, 0]), int(key[i, 1])
        for step in ((a + 1, b), (a - 1, b), (a, b + 1), (a, b - 1)):
            j = index.get(step)
            if j is not None and j not in seen:
                seen.add(j)
                heapq.heappush(waiting, (-float(level[j]), j))
    return np.array(order, dtype=np.int64)


class Orders:
    """Orders in which the cells of grounds are taken up; the beginning of a longer one is not sought again."""

    def __init__(self) -> None:
        self.known: dict[int, tuple[int, IntArray, Likelihood]] = {}

    def __call__(self, where: Likelihood, cells_max: int) -> IntArray:
        """Order of the cells of a ground, no more than so many."""
        sought, order, _ = self.known.get(id(where), (0, np.empty(0, dtype=np.int64), where))
        if sought < cells_max:
            order = grown(where, cells_max)
            self.known[id(where)] = cells_max, order, where
        return order[:cells_max]


def _evened(where: Likelihood, key: IntArray) -> FloatArray:
    """Mean chance about each cell, so that ground has no ragged rim, which nobody can walk along."""
    dense = np.zeros(key.max(axis=0) + 1)
    dense[key[:, 0], key[:, 1]] = where.chance
    size = 2 * int(EVEN_M / where.cell_m) + 1
    even: FloatArray = uniform_filter(dense, size, mode="constant")[key[:, 0], key[:, 1]]
    return np.where(where.chance > 0, even, 0.0)


def spread_effort(
    grounds: Sequence[Likelihood],
    orders: Sequence[IntArray],
    chosen: Sequence[int],
    budget_s: float,
    params: EffortParams,
) -> list[GroundEffort]:
    """Spread some time over the grounds of chosen birds so that most logs are found.

    Parameters
    ----------
    grounds, orders : of all birds, with the order in which the cells of each are taken up.
    chosen : places of the birds whose grounds are searched.
    budget_s : time inside grounds [s].
    params : how ground is searched.

    Returns
    -------
    list of GroundEffort
        One a chosen bird whose ground is worth a walk.

    Notes
    -----
    Pieces of ring_m2 are taken up by logs found a second. A ground searched once keeps ``1 - once`` of its chance, so
    the best spot is walked again before the rim is walked at all where that finds more (Koopman 1980).
    """
    pieces = _pieces(grounds, orders, chosen, budget_s, params)
    taken = pieces.first(np.ones(len(pieces.bird), dtype=bool), budget_s)
    efforts = []
    for bird in chosen:
        own = taken[pieces.bird[taken] == bird]
        per = _cells_a_ring(grounds[bird], params)
        counts = [int(np.count_nonzero(pieces.turn[own] == turn)) for turn in range(params.passes)]
        cells = tuple(min(count * per, len(orders[bird])) for count in counts if count)
        if cells:
            gain, cost = float(pieces.gain[own].sum()), float(pieces.cost[own].sum())
            efforts.append(GroundEffort(bird, orders[bird], cells, gain, cost))
    return efforts


@dataclass(frozen=True, eq=False)
class _Pieces:
    """Pieces of ground by logs found a second, most first; each array of shape (n,)."""

    bird: IntArray
    turn: IntArray
    gain: FloatArray
    cost: FloatArray

    def first(self, allowed: BoolArray, budget_s: float) -> IntArray:
        """Places in the list of those allowed pieces that fit into the time, in order."""
        own = np.flatnonzero(allowed)
        return own[np.cumsum(self.cost[own]) <= budget_s]


def _cells_a_ring(where: Likelihood, params: EffortParams) -> int:
    return max(1, round(params.ring_m2 / where.cell_m**2))


def _pieces(
    grounds: Sequence[Likelihood],
    orders: Sequence[IntArray],
    chosen: Collection[int],
    budget_s: float,
    params: EffortParams,
) -> _Pieces:
    rate, kinds, gains, costs = [], [], [], []
    for bird in chosen:
        per = _cells_a_ring(grounds[bird], params)
        mass = grounds[bird].chance[orders[bird][: per * (1 + int(budget_s / params.ring_s))]]  # no time for more
        rings = np.add.reduceat(mass, np.arange(0, len(mass), per)) if len(mass) else np.zeros(0)
        for turn in range(params.passes):
            gain = rings * (1 - params.once) ** turn * params.once
            cost = params.ring_s + gain * params.minutes_at_log * 60
            rate.append(np.minimum.accumulate(gain / cost))  # a ring is never taken up before the one inside it
            kinds.append(np.stack([np.full(len(rings), bird), np.full(len(rings), turn), np.arange(len(rings))]))
            gains.append(gain)
            costs.append(cost)
    if not rate:
        none = np.zeros(0, dtype=np.int64)
        return _Pieces(none, none, np.zeros(0), np.zeros(0))
    kind, fast = np.concatenate(kinds, axis=1), np.concatenate(rate)
    order = np.lexsort((kind[0], kind[2], kind[1], -fast))
    order = order[fast[order] > 0]
    return _Pieces(kind[0][order], kind[1][order], np.concatenate(gains)[order], np.concatenate(costs)[order])


def plan_effort(
    grounds: Sequence[Likelihood],
    start_m: XY,
    end_m: XY,
    budget_s: float,
    seconds: Callable[[XY, XY], float],
    params: EffortParams | None = None,
    orders: "Orders | None" = None,
) -> list[GroundEffort]:
    """Choose which grounds to search, in which order and how thoroughly, so that most logs are found in the time.

    Parameters
    ----------
    grounds : of all birds; beyond BIRDS_MAX those with the most chance on little ground.
    start_m, end_m : where the search begins and must end [m].
    budget_s : from the one to the other [s].
    seconds : time on foot between two places [s], infinite where there is no way.
    params : how ground is searched.
    orders : of the cells of these grounds, where they were asked for before; None to find out.

    Returns
    -------
    list of GroundEffort
        In walking order; empty where no ground can be reached in the time.

    Notes
    -----
    Every set of birds is tried with its shortest walk (dynamic programme over sets); what the walk leaves is spread by
    :func:`spread_effort`.
    """
    params = params or EffortParams()
    known = orders or Orders()
    taken_up = [known(g, _cells_a_ring(g, params) * (1 + int(budget_s / params.ring_s))) for g in grounds]
    best_spots = sorted(range(len(grounds)), key=lambda b: -_first_hour(grounds[b], taken_up[b], params))[:BIRDS_MAX]
    spots = [start_m, *(_xy(grounds[b], int(taken_up[b][0])) for b in best_spots), end_m]
    times = np.array([[0.0 if a == b else seconds(a, b) for b in spots] for a in spots])
    pieces = _pieces(grounds, taken_up, best_spots, budget_s, params)
    best: tuple[float, float, tuple[int, ...]] = (0.0, 0.0, ())
    for walk_s, path in _shortest_walks(times).values():
        if walk_s >= budget_s:
            continue
        chosen = [best_spots[i] for i in path]
        taken = pieces.first(np.isin(pieces.bird, chosen), budget_s - walk_s)
        worth = float(pieces.gain[taken].sum())
        if worth > best[0] + 1e-9 and len(np.unique(pieces.bird[taken])) == len(chosen):
            best = (worth, walk_s, path)
    return spread_effort(grounds, taken_up, [best_spots[i] for i in best[2]], budget_s - best[1], params)


def _first_hour(where: Likelihood, order: IntArray, params: EffortParams) -> float:
    cells = max(1, round(3600 * params.pace_ms * params.strip_m / where.cell_m**2))
    return float(where.chance[order[:cells]].sum())


def _xy(where: Likelihood, cell: int) -> XY:
    return float(where.xy_m[cell, 0]), float(where.xy_m[cell, 1])


def _shortest_walks(times: FloatArray) -> dict[int, tuple[float, tuple[int, ...]]]:
    """Shortest walk from the first place over each set of the middle ones to the last: by set, seconds and order."""
    n = len(times) - 2
    state: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {
        (1 << i, i): (float(times[0, i + 1]), (i,)) for i in range(n)
    }
    for members in range(1, 1 << n):
        for last in range(n):
            here = state.get((members, last))
            if here is None:
                continue
            for new in range(n):
                if members >> new & 1:
                    continue
                there = (here[0] + float(times[last + 1, new + 1]), (*here[1], new))
                key = (members | 1 << new, new)
                if key not in state or there < state[key]:
                    state[key] = there
    whole: dict[int, tuple[float, tuple[int, ...]]] = {}
    for (members, last), (spent, path) in state.items():
        back = (spent + float(times[last + 1, -1]), path)
        if members not in whole or back < whole[members]:
            whole[members] = back
    return whole
