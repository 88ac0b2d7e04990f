"""Where the minutes of a search find most: grounds grown from the best spot outwards, and how often each is walked.

The path through a ground is sweep.py's business; in which order grounds are walked, and when, is search_order.py's.
"""

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray, IntArray

XY = tuple[float, float]
BIRDS_MAX = 10  # judgement: the ten likeliest birds; nobody searches the ground of more in one morning


@dataclass(frozen=True)
class EffortParams:
    """How ground is searched.

    Parameters
    ----------
    sweep_m : effective width seen on a walk [m].
    strip_m : from one line to the next [m].
    pace_ms : walking and looking [m/s].
    minutes_at_log : at a log that is found [min].
    ring_m2 : ground is taken up in pieces of this size [m2].
    passes : times that a ground is walked at most.
    """

    sweep_m: float = figure("search", "sweep_m")
    strip_m: float = figure("search", "strip_m")
    pace_ms: float = figure("search", "pace_ms")
    minutes_at_log: float = figure("search", "minutes_at_log")
    ring_m2: float = figure("search", "ring_m2")
    passes: int = 2

    @property
    def once(self) -> float:
        """Chance to find a log on ground that is walked once, ``1 - exp(-W / strip)``."""
        return float(-np.expm1(-self.sweep_m / self.strip_m))

    @property
    def ring_s(self) -> float:
        """Seconds to walk one piece of ground once."""
        return self.ring_m2 / self.strip_m / self.pace_ms


@dataclass(frozen=True, eq=False)
class Likelihood:
    """Where one bird's log may be.

    Parameters
    ----------
    bird : its name.
    xy_m : cell centres, shape (n, 2) [m].
    chance : of each cell, shape (n,); the sum is 1 or less, the rest lies elsewhere or is no bird of its own.
    cell_m : size of a cell [m].
    """

    bird: str
    xy_m: FloatArray = field(repr=False)
    chance: FloatArray = field(repr=False)
    cell_m: float


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


def grown(where: Likelihood) -> IntArray:
    """Take up the cells of a ground from its best spot outwards, the likeliest neighbour next.

    Parameters
    ----------
    where : the chances.

    Returns
    -------
    ndarray
        Places of the cells in the list, shape (k,): those joined to the best cell by cells that hold anything.
    """
    key = np.round((where.xy_m - where.xy_m[0]) / where.cell_m).astype(int)
    index = {(int(a), int(b)): i for i, (a, b) in enumerate(key)}
    first = int(np.argmax(where.chance))
    waiting, seen, order = [(-float(where.chance[first]), first)], {first}, []
    while waiting:
        chance, i = heapq.heappop(waiting)
        if chance >= 0:
            break
        order.append(i)
        a, b = int(key[i, 0]), int(key[i, 1])
        for step in ((a + 1, b), (a - 1, b), (a, b + 1), (a, b - 1)):
            j = index.get(step)
            if j is not None and j not in seen:
                seen.add(j)
                heapq.heappush(waiting, (-float(where.chance[j]), j))
    return np.array(order, dtype=np.int64)


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
    pieces: list[tuple[float, int, int, int, float, float]] = []
    for bird in chosen:
        per = max(1, round(params.ring_m2 / grounds[bird].cell_m ** 2))
        most = per * (1 + int(budget_s / params.ring_s))  # no time for more
        mass = grounds[bird].chance[orders[bird][:most]]
        rings = np.add.reduceat(mass, np.arange(0, len(mass), per)) if len(mass) else np.zeros(0)
        falling = np.minimum.accumulate(rings)  # a ring is never taken up before the one inside it
        share = params.once
        for turn in range(params.passes):
            for k, (ring, level) in enumerate(zip(rings, falling, strict=True)):
                left = (1 - share) ** turn * share
                cost = params.ring_s + ring * left * params.minutes_at_log * 60
                pieces.append((-level * left / cost, turn, k, bird, ring * left, cost))
    pieces.sort()
    taken: dict[int, list[int]] = {bird: [0] * params.passes for bird in chosen}
    found, spent = dict.fromkeys(chosen, 0.0), dict.fromkeys(chosen, 0.0)
    room = budget_s
    for rate, turn, _, bird, gain, cost in pieces:
        if rate >= 0 or cost > room:
            break
        room -= cost
        taken[bird][turn] += 1
        found[bird] += gain
        spent[bird] += cost
    efforts = []
    for bird in chosen:
        per = max(1, round(params.ring_m2 / grounds[bird].cell_m ** 2))
        cells = tuple(min(count * per, len(orders[bird])) for count in taken[bird] if count)
        if cells:
            efforts.append(GroundEffort(bird, orders[bird], cells, found[bird], spent[bird]))
    return efforts


def plan_effort(
    grounds: Sequence[Likelihood],
    start_m: XY,
    end_m: XY,
    budget_s: float,
    seconds: Callable[[XY, XY], float],
    params: EffortParams | None = None,
) -> list[GroundEffort]:
    """Choose which grounds to search, in which order and how thoroughly, so that most logs are found in the time.

    Parameters
    ----------
    grounds : of all birds; beyond BIRDS_MAX those with the most chance on little ground.
    start_m, end_m : where the search begins and must end [m].
    budget_s : from the one to the other [s].
    seconds : time on foot between two places [s], infinite where there is no way.
    params : how ground is searched.

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
    orders = [grown(g) for g in grounds]
    best_spots = sorted(range(len(grounds)), key=lambda b: -_first_hour(grounds[b], orders[b], params))[:BIRDS_MAX]
    spots = [start_m, *(_xy(grounds[b], int(orders[b][0])) for b in best_spots), end_m]
    times = np.array([[0.0 if a == b else seconds(a, b) for b in spots] for a in spots])
    best: tuple[float, list[GroundEffort], tuple[int, ...]] = (0.0, [], ())
    for walk_s, path in _shortest_walks(times).values():
        if walk_s >= budget_s:
            continue
        chosen = [best_spots[i] for i in path]
        efforts = spread_effort(grounds, orders, chosen, budget_s - walk_s, params)
        worth = sum(e.chance for e in efforts)
        if len(efforts) == len(chosen) and worth > best[0] + 1e-9:
            best = (worth, efforts, path)
    return best[1]


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
