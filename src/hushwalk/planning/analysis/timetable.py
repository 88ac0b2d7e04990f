"""What a plan's clock allows: slack, latest turn-back times, a slower or later walker, and which stops to drop first.

Why a stop is in the plan at all is explain.py's.
"""

from dataclasses import dataclass, replace

import numpy as np

from hushwalk.planning.heuristic.repair import remove_stop
from hushwalk.planning.model.clock import arrival, excess, run_clock
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import Tables, tables_of
from hushwalk.planning.model.worth import plan_of, route_of
from hushwalk.types import FloatArray, IntArray


@dataclass(frozen=True)
class Slack:
    """What the clock leaves at one stop.

    Parameters
    ----------
    post : index of the post.
    latest_leave_s : last moment to leave it straight for the end and still be back in time [s].
    slack_s : how much later than planned one may leave it and still make the rest as planned [s].
    back_s : time straight back to the end from there, when left as planned [s].
    """

    post: int
    latest_leave_s: float
    slack_s: float
    back_s: float


@dataclass(frozen=True)
class Delay:
    """The same order of stops on a worse morning, with the stops dropped that no longer fit.

    Parameters
    ----------
    words : what went wrong.
    plan : what is left of the plan.
    dropped : posts no longer visited.
    lost : share of the worth that is lost, 0..1.
    """

    words: str
    plan: Plan
    dropped: tuple[int, ...]
    lost: float


def slack(problem: Problem, plan: Plan) -> tuple[Slack, ...]:
    """Give what the clock leaves at every stop.

    Notes
    -----
    Being back in time means the problem's ``latest_s``, and the budget counted from when the plan leaves.
    """
    tables = tables_of(problem)
    deadline = _deadline(problem, plan)
    step = problem.step_s if problem.step_s > 0 else 1.0
    rest = max(0.0, deadline - plan.back_s)
    found = []
    for visit in plan.visits:
        latest = visit.leave_s
        while latest <= deadline and arrival(tables, visit.post, problem.end, latest + step) <= deadline + 1e-6:
            latest += step
        back = float(arrival(tables, visit.post, problem.end, visit.leave_s)) - visit.leave_s
        waits = sum(v.wait_s for v in plan.visits[plan.visits.index(visit) + 1 :])
        found.append(Slack(visit.post, latest, rest + waits, back))
    return tuple(found)


def what_if_slower(problem: Problem, plan: Plan, factor: float = 1.2) -> Delay:
    """Walk the same order on legs that take ``factor`` times as long, dropping what no longer fits.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    plan : a plan of that problem.
    factor : of the time of every leg.

    Returns
    -------
    Delay
        What is left of the plan, and what is lost.
    """
    slower = replace(problem, travel_s=problem.travel_s * factor, must_visit=())
    return _after(slower, problem, plan, f"{(factor - 1) * 100:.0f} % slower on foot", 0.0)


def what_if_late(problem: Problem, plan: Plan, late_s: float = 1200.0) -> Delay:
    """Leave later than planned and be back by the same time, dropping what no longer fits.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    plan : a plan of that problem.
    late_s : how late [s].

    Returns
    -------
    Delay
        What is left of the plan, and what is lost.
    """
    start = plan.depart_s + late_s
    deadline = _deadline(problem, plan)
    late = replace(
        problem,
        earliest_s=start,
        latest_s=max(deadline, start),
        budget_s=max(deadline - start, 0.0),
        must_visit=(),
    )
    return _after(late, problem, plan, f"{late_s / 60:.0f} min late", late_s)


def drop_order(problem: Problem, plan: Plan) -> tuple[int, ...]:
    """Give the posts in the order to drop them when time runs short: least worth for the time it frees first."""
    stops, waits = _room(problem, plan)
    count, order = len(plan.visits), []
    while count > 0:
        place = _least(problem, stops, waits, count)
        order.append(int(stops[0, place]))
        count = remove_stop(stops, waits, count, place)
    return tuple(order)


def _deadline(problem: Problem, plan: Plan) -> float:
    return min(problem.latest_s, plan.depart_s + problem.budget_s)


def _room(problem: Problem, plan: Plan) -> tuple[IntArray, FloatArray]:
    stops, waits = route_of(problem, plan)
    return stops.reshape(2, -1).copy(), waits.copy()


def _least(problem: Problem, stops: IntArray, waits: FloatArray, count: int) -> int:
    whole = plan_of(problem, stops[:, :count], waits[: count + 1])
    ratios = []
    for k in range(count):
        fewer, fewer_waits = stops.copy(), waits.copy()
        left = remove_stop(fewer, fewer_waits, count, k)
        rest = plan_of(problem, fewer[:, :left], fewer_waits[: left + 1])
        ratios.append((whole.worth - rest.worth) / max(whole.back_s - rest.back_s, 1.0))
    return int(np.argmin(ratios))


def _after(worse: Problem, problem: Problem, plan: Plan, words: str, late_s: float) -> Delay:
    tables = tables_of(worse)
    stops, waits = _room(problem, plan)
    planned = np.array([v.begin_s for v in plan.visits])
    waits[0] = max(0.0, plan.depart_s + late_s - worse.earliest_s)
    waits[1:] = 0.0
    count, dropped, begin = len(plan.visits), [], np.zeros(len(plan.visits) + 1)
    while count > 0:
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) <= 0:
            break
        place = _least(worse, stops, waits, count)
        dropped.append(int(stops[0, place]))
        count = remove_stop(stops, waits, count, place)
    if len(planned) and not dropped:
        _keep_appointments(tables, stops, waits, count, planned)
    left = plan_of(worse, stops[:, :count], waits[: count + 1])
    lost = 1 - left.worth / plan.worth if plan.worth > 0 else 0.0
    return Delay(words, left, tuple(dropped), float(max(0.0, lost)))


def _keep_appointments(tables: Tables, stops: IntArray, waits: FloatArray, count: int, planned: FloatArray) -> None:
    """Wait until the planned beginning where one is early and the limits still hold."""
    begin = np.zeros(count + 1)
    for k in range(count):
        run_clock(tables, stops, waits, count, begin)
        early = planned[k] - begin[k]
        if early <= 0:
            continue
        waits[k + 1] += early
        back, walk, length = run_clock(tables, stops, waits, count, begin)
        if excess(tables, waits, count, back, walk, length) > 0:
            waits[k + 1] -= early
