"""Why the plan is what it is: what each stop adds, what forcing another post costs, and worth against time.

What happens on a worse morning is timetable.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem, with_posts, without_posts
from hushwalk.planning.model.worth import plan_of, route_of
from hushwalk.planning.solve import SolveParams, solve

QUICK = SolveParams(search_s=None, iterations=150, starts=4)


@dataclass(frozen=True)
class StopValue:
    """What one stop is for.

    Parameters
    ----------
    post : index of the post.
    gain : what it adds to the stops before it.
    alone : what would be lost if it alone were left out and nothing else changed.
    minutes : what it costs, in minutes of walking, waiting and standing that would be saved.
    """

    post: int
    gain: float
    alone: float
    minutes: float


@dataclass(frozen=True)
class Detour:
    """The best walk found that visits one more post, and the share of the worth it costs; None where none fits."""

    post: int
    plan: Plan | None
    lost: float


def stop_values(problem: Problem, plan: Plan) -> tuple[StopValue, ...]:
    """Say of every stop what it adds and what it costs."""
    stops, waits = route_of(problem, plan)
    found = []
    for k, visit in enumerate(plan.visits):
        rest = plan_of(problem, np.delete(stops, k, axis=1), np.delete(waits, k + 1))
        found.append(StopValue(visit.post, visit.gain, plan.worth - rest.worth, (plan.back_s - rest.back_s) / 60))
    return tuple(found)


def why_not(problem: Problem, plan: Plan, post: int, rng: np.random.Generator, params: SolveParams = QUICK) -> Detour:
    """Plan again with one post forced, and say what that costs.

    Parameters
    ----------
    problem, plan : the plan in question.
    post : one that the plan does not visit.
    rng, params : for the new search; its route starts from nothing, so give it time where it matters.

    Returns
    -------
    Detour
        The plan with the post, None where no walk can visit it, and the share of the worth lost.
    """
    try:
        forced = solve(with_posts(problem, (post,)), params, rng).plan
    except NoPlanError:
        return Detour(post, None, 1.0)
    return Detour(post, forced, max(0.0, 1 - forced.worth / plan.worth) if plan.worth > 0 else 0.0)


def without_stop(problem: Problem, post: int, rng: np.random.Generator, params: SolveParams = QUICK) -> Plan:
    """Plan again without one post.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    post : index of the post.
    rng : where all chance comes from.
    params : limits of the run.

    Returns
    -------
    Plan
        The best that was found.
    """
    return solve(without_posts(problem, (post,)), params, rng).plan


def budget_curve(
    problem: Problem, budgets_s: Sequence[float], rng: np.random.Generator, params: SolveParams = QUICK
) -> tuple[tuple[float, float], ...]:
    """Plan for several budgets and give (budget [s], worth), never falling as the budget grows.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    budgets_s : budgets to try [s].
    rng : where all chance comes from.
    params : limits of the run.

    Returns
    -------
    tuple of (float, float)
        Budget [s] and worth.

    Notes
    -----
    A walk that fits a budget fits every larger one, so the best worth of any smaller budget is a worth of this one.
    """
    curve, most = [], 0.0
    for budget in sorted(budgets_s):
        try:
            most = max(most, solve(replace(problem, budget_s=float(budget)), params, rng).plan.worth)
        except NoPlanError:
            most = max(most, 0.0)
        curve.append((float(budget), most))
    return tuple(curve)
