"""What the plain walks are worth: each as a walk of the morning's own problem, on its clock and by its rules.

The search for a plan begins at them too, so no plan is worth less. Which plain walks there are is plain_walk.py's.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.morning.plain_walk import PlainRoute, PlainWalkKind
from hushwalk.morning.report import PlainWalk
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.model.worth import evaluate_route, plan_of
from hushwalk.types import FloatArray, IntArray

START_STEP_S = 300.0  # judgement: leaving five minutes earlier or later changes next to nothing
Route = tuple[IntArray, FloatArray]
"""Posts and dwell choices, shape (2, k), and waits, shape (k + 1,) [s]."""


@dataclass(frozen=True, eq=False)
class PlainPlan:
    """A plain walk at its best hour of leaving.

    Parameters
    ----------
    route : which walk.
    stops, waits : as a route of the problem.
    plan : with every time and gain.
    males : expected, each male followed through his bouts.
    """

    route: PlainRoute
    stops: IntArray = field(repr=False)
    waits: FloatArray = field(repr=False)
    plan: Plan
    males: float

    @property
    def length_m(self) -> float:
        """There and back [m]."""
        return 2 * float(self.route.along_m[len(self.plan.visits) - 1])


def plain_plans(morning_problem: MorningProblem, longest_m: float = np.inf) -> tuple[PlainPlan, ...]:
    """Give each plain walk of a morning with as many stops, at the hour and in the direction, that hear most.

    Parameters
    ----------
    morning_problem : posts, times and chances, with the plain walks among them.
    longest_m : no walk longer than this [m].

    Returns
    -------
    tuple of PlainPlan
        The best first; those are left out of which no stop fits.
    """
    problem, found = morning_problem.problem, []
    for route, posts in zip(morning_problem.plain, morning_problem.plain_posts, strict=True):
        dwell = int(np.argmin(np.abs(np.array(problem.dwell_s) - route.dwell_s)))
        fit = int(np.count_nonzero(2 * route.along_m <= longest_m))
        best = _best(problem, posts[:fit], dwell)
        if best is not None:
            plan = plan_of(problem, *best)
            found.append(PlainPlan(route, *best, plan, worth_in_bouts(problem, plan, morning_problem.bouts)))
    return tuple(sorted(found, key=lambda one: -one.males))


def spread_out(problem: Problem, plain: PlainPlan) -> Route:
    """Give a plain walk without the stops that the problem finds too near to one before, as a walk to begin at."""
    clashing = {frozenset(pair) for pair in problem.conflicts.tolist()}
    kept: list[int] = []
    for k, post in enumerate(plain.stops[0].tolist()):
        if all(frozenset((post, int(plain.stops[0, other]))) not in clashing for other in kept):
            kept.append(k)
    return np.ascontiguousarray(plain.stops[:, kept]), np.append(plain.waits[0], plain.waits[1:][kept])


def as_near_as(problem: Problem, plain: PlainPlan) -> Problem:
    """Give the same problem where the stops of one plain walk may stand as near to one another as it has them."""
    own = np.isin(problem.conflicts, plain.stops[0]).all(axis=1)
    walk_s = None if problem.max_walk_s is None else max(problem.max_walk_s, plain.plan.walk_s)
    return replace(problem, conflicts=problem.conflicts[~own], max_walk_s=walk_s)


def _best(problem: Problem, posts: tuple[int, ...], dwell: int) -> Route | None:
    tables, missed, most, best = tables_of(problem), np.ones(problem.targets), -1.0, None
    for stops, waits in _routes(problem, posts, dwell):
        count = stops.shape[1]
        worth, _ = evaluate_route(tables, stops, waits, count, np.zeros(count + 1), missed)
        if worth > most:
            most, best = worth, (stops, waits)
    return best


def _routes(problem: Problem, posts: tuple[int, ...], dwell: int) -> Iterator[Route]:
    """Listening on the way out and on the way back, from one stop to all of them, at every hour of leaving."""
    leaves = np.arange(0.0, problem.latest_s - problem.earliest_s, START_STEP_S)
    for many in range(1, len(posts) + 1):
        for order in dict.fromkeys((posts[:many], posts[:many][::-1])):
            stops = np.array([order, (dwell,) * many], np.int64)
            for leave_s in leaves.tolist():
                yield stops, np.array([leave_s, *(0.0,) * many])


def plain_walk_of(plans: tuple[PlainPlan, ...]) -> PlainWalk:
    """Give the best of the plain walks as it is reported."""
    if not plans:
        return PlainWalk(PlainWalkKind.NONE_FITS)
    best = plans[0]
    last_m, step = best.length_m / 2, len(best.plan.visits)
    reached = np.hypot(*(best.route.line_m - best.route.stops_xy[step - 1]).T)
    return PlainWalk(
        best.route.kind,
        best.route.towards,
        dwell_min=best.route.dwell_s / 60,
        spacing_m=best.route.spacing_m,
        stops=step,
        males_expected=best.males,
        length_m=2 * last_m,
        line_m=best.route.line_m[: int(np.argmin(reached)) + 1],
    )
