"""Ways of working compared: a short search for each number of minutes kept for closing in, played on the same days.

Which of them a plan is made for is chosen_way.py's; the formulation is in docs/science/day.md.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.morning.day.day_inputs import bird_ground, day_params, heard_by_level, walk_of_plan
from hushwalk.morning.day.day_worth import play_days
from hushwalk.morning.day.drawn_days import DayChanges, draw_days, scattered
from hushwalk.morning.day.expected_day import SLOWER
from hushwalk.morning.day_chances import WayWorth
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.solve import SolveParams, solve

CHOICES_MIN = (0.0, 30.0, 60.0, 90.0, 120.0)  # judgement: what is found changes little within half an hour
DAYS = 200  # judgement: the ways meet the same days, and their differences err by some hundredths of a log
SHORT = SolveParams(search_s=None, iterations=150, starts=4)
"""judgement: a short search finds the males expected within a tenth, and falls short alike for every way."""


def choices_min(most_min: float, *own_min: float) -> tuple[float, ...]:
    """Give the minutes that are compared, up to the most, and the person's own.

    Examples
    --------
    >>> choices_min(80.0), choices_min(80.0, 45.0)
    ((0.0, 30.0, 60.0), (0.0, 30.0, 45.0, 60.0))
    """
    return tuple(sorted({*(minutes for minutes in CHOICES_MIN if minutes <= most_min), *own_min}))


def compare_ways(morning: Morning, morning_problem: MorningProblem, minutes: tuple[float, ...]) -> tuple[WayWorth, ...]:
    """Plan shortly for each number of minutes kept for closing in, and play the plans on the same days.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : posts, times and chances.
    minutes : to be compared [min].

    Returns
    -------
    tuple of WayWorth
        In the order of the minutes; those without a plan of even one stop are left out.

    Notes
    -----
    The males are the planner's own, scattered by its density; days and luck are common to all ways.
    """
    rng = np.random.default_rng(morning.settings.seed)
    heard_at_all = np.zeros(morning_problem.heard.grid.n_cells, dtype=bool)
    heard_at_all[morning_problem.targets] = True
    ground = bird_ground(morning, morning_problem.heard.grid, heard_at_all)
    weights = morning.detectability.level_weights
    level = rng.choice(len(weights), DAYS, p=weights)
    changes = DayChanges(np.full(DAYS, ground.participation), level, SLOWER * rng.random(DAYS))
    days = draw_days(ground, changes, scattered, len(morning_problem.posts_xy), rng)
    params = day_params(morning, ground)
    found = []
    for kept_min, plan in _short_plans(morning, morning_problem, minutes):
        walk = walk_of_plan(morning, morning_problem, plan, kept_min)
        heard = heard_by_level(morning.detectability, morning_problem.heard, [visit.post - 1 for visit in plan.visits])
        found.append(WayWorth(kept_min, plan.worth, play_days(days, walk, heard, params).chances))
    return tuple(found)


def _short_plans(
    morning: Morning, morning_problem: MorningProblem, minutes: tuple[float, ...]
) -> Iterator[tuple[float, Plan]]:
    for kept_min in minutes:
        shorter = replace(morning, kept_free_s=60 * kept_min)
        if shorter.window_s <= 0:
            continue
        problem = replace(morning_problem.problem, latest_s=shorter.last_s, budget_s=shorter.window_s)
        try:
            plan = solve(problem, SHORT, np.random.default_rng(morning.settings.seed)).plan
        except NoPlanError:
            continue
        if plan.visits:
            yield kept_min, plan
