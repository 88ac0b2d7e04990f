"""Small mornings for the modules of the bound, and their relaxed walks enumerated one by one in plain Python."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest

from hushwalk.planning.bound.backward_labels import Prices
from hushwalk.planning.bound.relaxation import Point, Relaxation, relax_at, relaxation_of
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import Tables, tables_of

TICK = 60.0
FREE = Prices(0.0, 0.0, 0.0, 0.0)
Stop = tuple[int, int, int]
"""Post, dwell, tick at which the stop begins."""


@dataclass(frozen=True)
class Small:
    """One small morning: 4 posts, 12 ticks, two dwells, a factor that changes with the hour."""

    problem: Problem
    tables: Tables
    relaxation: Relaxation
    point: Point

    def gain(self, post: int, dwell: int, tick: int) -> float:
        """Relaxed gain by the formula, not by the code: chord between the heights on both sides of the factor."""
        relaxation, factor = self.relaxation, self.relaxation.factor[dwell, tick]
        return float(np.interp(factor, relaxation.height, self.point.gain[post]))

    def leg(self, i: int, j: int, tick: int) -> int:
        return int(self.tables.leg[self.tables.slot[tick], i, j])

    def exact(self, stops: list[Stop]) -> float:
        """True worth of stops, whether or not a walk can make them."""
        missed = np.ones(len(self.tables.mass))
        chance = self.problem.chance.toarray()
        for post, dwell, tick in stops:
            missed *= 1 - chance[post] * self.relaxation.factor[dwell, tick]
        return float((self.tables.mass * (1 - missed)).sum())

    def relaxed(self, stops: list[Stop]) -> float:
        """Relaxed worth of stops, without the constant."""
        total = sum(self.gain(*stop) for stop in stops)
        for (i, v, s), (j, w, t) in pairwise(stops):
            total -= self.point.overlap[i, j] * self.relaxation.factor[v, s] * self.relaxation.factor[w, t]
        return float(total)

    def walks(self, begin: list[int] | None = None) -> Iterator[list[Stop]]:
        """Every relaxed walk from start to end that goes nowhere and straight back: posts may come again later."""
        fixed = begin or []

        def longer(stops: list[Stop], here: int, tick: int) -> Iterator[list[Stop]]:
            if len(stops) >= len(fixed) and tick + self.leg(here, self.tables.end, tick) < self.relaxation.ticks:
                yield stops
            for j in [fixed[len(stops)]] if len(stops) < len(fixed) else [1, 2, 3, 4]:
                back = len(stops) > 1 and stops[-2][0] == j and len(stops) >= len(fixed) + 1
                if j == here or back or (len(stops) >= len(fixed) and j in fixed):
                    continue
                for t in range(tick + self.leg(here, j, tick), self.relaxation.ticks):
                    for w in range(len(self.relaxation.dwell)):
                        after = t + int(self.relaxation.dwell[w])
                        if after < self.relaxation.ticks:
                            yield from longer([*stops, (j, w, t)], j, after)

        for tick in range(self.relaxation.ticks):
            yield from longer([], self.tables.start, tick)


def make(seed: int, *, overlap: bool = True, ticks: int = 9, **more: object) -> Small:
    rng = np.random.default_rng(seed)
    travel = rng.integers(1, 4, (5, 5)) * TICK
    np.fill_diagonal(travel, 0.0)
    chance = np.zeros((5, 8))
    for post in range(1, 5):
        own = rng.choice(8, 4, replace=False) if overlap else [2 * (post - 1), 2 * post - 1]
        chance[post, own] = rng.uniform(0.2, 0.9, len(own))
    settings = {
        "travel_s": travel,
        "chance": chance,
        "weights": rng.uniform(0.5, 2.0, 8),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": (ticks - 1) * TICK,
        "budget_s": (ticks - 1) * TICK,
        "dwell_s": (TICK, 2 * TICK),
        "clock_s": np.array([0.0, (ticks - 1) * TICK]),
        "availability": np.array([[0.5, 0.9], [0.7, 1.0]]),
    }
    problem = Problem(**(settings | more))
    tables = tables_of(problem)
    relaxation = relaxation_of(tables)
    seen, summed = rng.uniform(0.0, 1.0, 8), rng.uniform(0.0, 0.8, 8)
    return Small(problem, tables, relaxation, relax_at(tables, relaxation, seen, summed, np.ones(5, bool), 0.1))


@pytest.fixture(params=range(4))
def small(request: pytest.FixtureRequest) -> Small:
    return make(request.param)


@pytest.fixture(params=range(4))
def apart(request: pytest.FixtureRequest) -> Small:
    """No two posts catch the same target, so that nothing is taken on a chord of prices."""
    return make(request.param, overlap=False)
