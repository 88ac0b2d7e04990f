"""A small solved morning by hand: posts in a row along a trail, so that every time can be worked out on paper."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.morning.describe import PlanContext
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of
from hushwalk.science.bouts import Bouts
from hushwalk.science.sun import MorningLight
from hushwalk.site.morning_clock import Clock
from hushwalk.site.norths import North

APART_M, LEG_S, DWELL_S = 500.0, 600.0, 300.0
WITHOUT_PAUSE = Bouts(100.0, 35.0, 1.0)  # so often that every stop holds a display
MIDNIGHT = datetime(2027, 4, 24, tzinfo=UTC)
SUNRISE_S, DAWN_S, LEAVE_S = 6 * 3600.0, 5.5 * 3600, 5 * 3600.0


@pytest.fixture
def row_of_posts() -> Callable[..., PlanContext]:
    """Give a morning that leaves at 05:00, visits some posts of a row, and keeps some seconds free."""

    def made(
        visited: tuple[int, ...] = (1, 2, 3), posts: int = 5, kept_free_s: float = 3000.0, bouts: Bouts = WITHOUT_PAUSE
    ) -> PlanContext:
        place = np.arange(posts + 1.0)
        latest_s = LEAVE_S + 2 * visited[-1] * LEG_S + len(visited) * DWELL_S
        problem = Problem(
            travel_s=LEG_S * np.abs(place[:, None] - place[None]),
            chance=csr_array(np.vstack([np.zeros(posts), 0.5 * np.eye(posts)])),
            weights=1.0 + np.arange(posts),
            start=0,
            end=0,
            earliest_s=LEAVE_S,
            latest_s=latest_s,
            budget_s=latest_s - LEAVE_S,
            dwell_s=(DWELL_S,),
        )
        plan = plan_of(problem, np.array([visited, [0] * len(visited)]), np.zeros(len(visited) + 1))
        grid = Grid(32615, 500_000.0, 5_200_000.0, 100.0, 60, 60)
        east = 500_050.0 + APART_M * place
        elevation = Layer("elevation", "m", grid, np.full(grid.shape, 300.0))
        problem_of_morning = SimpleNamespace(
            problem=problem,
            bouts=bouts,
            posts_xy=np.column_stack([east[1:], np.full(posts, 5_197_050.0)]),
            times=SimpleNamespace(
                day_s=problem.travel_s[0],
                path=lambda a, b: SimpleNamespace(
                    length_m=APART_M * abs(a - b), line_m=np.array([[east[a], 5_197_050.0], [east[b], 5_197_050.0]])
                ),
            ),
        )
        site = SimpleNamespace(grid=grid, ground=SimpleNamespace(elevation=elevation))
        light = _light()
        clock = Clock(MIDNIGHT, light, LEAVE_S, latest_s + kept_free_s)
        given: dict[str, Any] = {"site": site, "detectability": None, "morning_problem": problem_of_morning}
        return PlanContext(
            **given,
            clock=clock,
            plan=plan,
            north=North(0.0, 0.4, 0.0),
            on_trail=np.zeros(grid.shape, bool),
            kept_free_s=kept_free_s,
        )

    return made


def _light() -> MorningLight:
    dawn, sunrise = (MIDNIGHT + timedelta(seconds=s) for s in (DAWN_S, SUNRISE_S))
    return MorningLight(nautical_dawn=None, civil_dawn=dawn, sunrise=sunrise)
