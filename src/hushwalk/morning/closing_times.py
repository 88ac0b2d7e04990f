"""When one may close in from each stop and still keep the promise, and which stops to leave out later than that.

Where one would go is quiet_ways.py's.
"""

from dataclasses import replace
from datetime import datetime

import numpy as np

from hushwalk.morning.closing_in import LaterWithout, TryTimes
from hushwalk.morning.describe import PlanContext
from hushwalk.notes.figures import figure
from hushwalk.planning.analysis.latest_leave import latest_leaves, latest_leaves_dropping
from hushwalk.planning.analysis.timetable import drop_order
from hushwalk.planning.model.problem import Problem

MINUTE_S = 60.0  # definition


def whole_morning(context: PlanContext) -> Problem:
    """Give the problem of a plan back what was kept free of it."""
    problem, kept_s = context.morning_problem.problem, context.kept_free_s
    return replace(problem, latest_s=problem.latest_s + kept_s, budget_s=problem.budget_s + kept_s)


def better_before(context: PlanContext) -> datetime:
    """Clock after which a try reaches fewer males, since they display less and less."""
    return context.clock.at(context.clock.sunrise_s + figure("closing_in", "worth_after_sunrise_min") * MINUTE_S)


def try_times(context: PlanContext, *, off_trail_in_the_dark: bool) -> tuple[TryTimes, ...]:
    """Work out for every stop when a try may begin there.

    Parameters
    ----------
    context : the plan and all it rests on; its problem ends before what is kept free.
    off_trail_in_the_dark : whether the person leaves trails before civil dawn.

    Returns
    -------
    tuple of TryTimes
        One a stop.
    """
    plan, problem = context.plan, whole_morning(context)
    order = drop_order(problem, plan)
    names = {visit.post: context.start.stop_name(k) for k, visit in enumerate(plan.visits, start=1)}
    usual_s, long_s = (figure("closing_in", key) * MINUTE_S for key in ("try_min", "long_try_min"))
    light_s = -np.inf if off_trail_in_the_dark else context.clock.civil_dawn_s
    found = []
    for k, (visit, leave_s) in enumerate(zip(plan.visits, latest_leaves(problem, plan), strict=True)):
        earliest_s = max(visit.leave_s, light_s)

        def begin(leave: float, length_s: float, earliest: float = earliest_s) -> datetime | None:
            return context.clock.at(leave - length_s) if leave - length_s >= earliest else None

        without = latest_leaves_dropping(problem, plan, order, k)
        found.append(
            TryTimes(
                earliest=context.clock.at(earliest_s),
                latest=begin(leave_s, usual_s),
                latest_long=begin(leave_s, long_s),
                walk_on_by=begin(leave_s, 0.0, visit.leave_s),
                without=tuple(LaterWithout(names[post], begin(later_s, usual_s)) for post, later_s in without),
            )
        )
    return tuple(found)
