"""Why the plan is what it is: what forcing another post costs, and worth against time.

What happens on a worse morning is timetable.py's.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem, with_posts
from hushwalk.planning.solve import SolveParams, solve

QUICK = SolveParams(search_s=None, iterations=150, starts=4)


@dataclass(frozen=True)
class Detour:
    """The best walk found that visits one more post, and the share of the worth it costs; None where none fits."""

    post: int
    plan: Plan | None
    lost: float


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


def worth_of(plan: Plan) -> float:
    """Worth of a plan."""
    return plan.worth


def budget_curve(
    problem: Problem,
    budgets_s: Sequence[float],
    rng: np.random.Generator,
    params: SolveParams = QUICK,
    count: Callable[[Plan], float] = worth_of,
) -> tuple[tuple[float, float], ...]:
    """Plan for several budgets and give (budget [s], worth), never falling as the budget grows.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    budgets_s : budgets to try [s].
    rng : where all chance comes from.
    params : limits of the run.
    count : what a plan counts for on the curve.

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
            most = max(most, count(solve(replace(problem, budget_s=float(budget)), params, rng).plan))
        except NoPlanError:
            most = max(most, 0.0)
        curve.append((float(budget), most))
    return tuple(curve)
