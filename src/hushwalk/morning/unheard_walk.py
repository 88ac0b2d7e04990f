"""How to walk on where nothing was heard: the next-best stops in what was kept free for closing in.

They are planned from the last stop on, given that all stops before it heard nothing.
"""

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.morning.closing_in import FurtherStop, UnheardWalk
from hushwalk.morning.closing_times import whole_morning
from hushwalk.morning.describe import PlanContext
from hushwalk.morning.heard_in_bouts import gains_in_bouts
from hushwalk.morning.morning_problem import walk_length_m, with_less_walking
from hushwalk.planning.analysis.rest_of_walk import rest_of
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.site.site import place_of

SEARCH = SolveParams(search_s=None, iterations=300, starts=4)
"""judgement: a handful of stops; more steps find no other ones."""
TRIES = 12  # judgement: by then a walk is half as long


def unheard_walk(context: PlanContext, *, longest_walk_m: float, seed: int) -> UnheardWalk | None:
    """Plan how to walk on from the last stop where nothing was heard.

    Parameters
    ----------
    context : the plan and all it rests on.
    longest_walk_m : of the whole morning [m].
    seed : of the search.

    Returns
    -------
    UnheardWalk or None
        Without further stops where none fits; None where nothing is planned or kept free.
    """
    plan = context.plan
    if not plan.visits or context.kept_free_s <= 0:
        return None
    last = plan.visits[-1]
    whole = whole_morning(context)
    left = rest_of(whole, plan.visits, last.leave_s, last.post)
    walked_m = walk_length_m(context.morning_problem.times, [context.start.place, *plan.posts])
    rest = _short_enough(context, left, last.post, longest_walk_m - walked_m, seed)
    made = context.start.stops_made + len(plan.visits)
    further = rest.visits if rest else ()
    gains = gains_in_bouts(whole, [*plan.visits, *further], context.morning_problem.bouts)[len(plan.visits) :]
    stops = tuple(
        FurtherStop(
            place=place_of(
                context.site.grid,
                context.morning_problem.posts_xy[visit.post - 1],
                f"P{made + k:02d}",
                context.site.ground.elevation,
            ),
            arrive=context.clock.at(visit.arrive_s),
            leave=context.clock.at(visit.leave_s),
            males=float(gain),
        )
        for k, (visit, gain) in enumerate(zip(further, gains, strict=True), start=1)
    )
    back_s = plan.back_s if rest is None else rest.back_s
    name = context.start.stop_name(len(plan.visits))
    return UnheardWalk(name, stops, sum(stop.males for stop in stops), context.clock.at(back_s))


def _short_enough(context: PlanContext, left: Problem, start: int, longest_m: float, seed: int) -> Plan | None:
    """The best walk found that is not too long, on less and less walking; None where there is none."""
    problem = left
    for _ in range(TRIES):
        try:
            plan = solve(problem, SEARCH, np.random.default_rng(seed)).plan
        except NoPlanError:
            return None
        length_m = walk_length_m(context.morning_problem.times, [start, *plan.posts, problem.end])
        if length_m <= longest_m or not plan.visits:
            return plan if plan.visits else None
        problem = with_less_walking(problem, plan, max(longest_m, 0.0) / length_m)
    return None
