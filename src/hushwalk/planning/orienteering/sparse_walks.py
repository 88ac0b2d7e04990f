"""Random walks along the legs that exist, for plain orienteering where many places have no direct way between them.

A search that puts single posts in seldom gets anywhere there: a post is often reached by another one only.
"""

import numpy as np

from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.orienteering.plain import Plain, quickest
from hushwalk.types import FloatArray

WALKS = 3000  # judgement: half a second on fifty places


def walk_along(plain: Plain, best: Incumbent, rng: np.random.Generator) -> None:
    """Walk at random towards what is worth much and near, and keep the best walk that comes home.

    Parameters
    ----------
    plain : plain orienteering laid out; a leg longer than the budget is none.
    best : the run and its best route so far.
    rng : where all chance comes from.
    """
    n = len(plain.score)
    exists = plain.times <= plain.budget
    if exists.all():
        return
    home = quickest(np.where(exists, plain.times, np.inf).T, n - 1)
    for _ in range(WALKS):
        if best.late():
            return
        _walk(plain, home, best, rng)


def _walk(plain: Plain, home: FloatArray, best: Incumbent, rng: np.random.Generator) -> None:
    n, here, left, worth = len(plain.score), len(plain.score) - 2, plain.budget, 0.0
    route: list[int] = []
    fresh = np.ones(n, bool)
    fresh[-2:] = False
    while True:
        if plain.times[here, n - 1] <= left and worth > best.worth:
            stops = np.array([plain.posts[route], np.zeros(len(route))], np.int64).reshape(2, -1)
            best.update(stops, np.zeros(len(route) + 1), len(route), worth)
        open_to = np.flatnonzero(fresh & (plain.times[here] + home <= left))
        if not len(open_to):
            return
        draw = (plain.score[open_to] + 1e-9) / (plain.times[here, open_to] + 1e-9)
        draw = draw ** rng.uniform(0, 1.5)
        there = int(rng.choice(open_to, p=draw / draw.sum()))
        left -= plain.times[here, there]
        worth += plain.score[there]
        fresh[there] = False
        route.append(there)
        here = there
