"""More than one walk: what is left of one that has begun, and several mornings or two people.

One walk by itself is solve.py's.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.planning.model.plan import Plan, Result, Visit
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import missed_by, plan_of, route_of
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.types import FloatArray


def rest_of(problem: Problem, visits_made: Sequence[Visit], clock_s: float, at: int) -> Problem:
    """Give what is left of a walk from where one stands.

    Parameters
    ----------
    problem : the whole walk's problem.
    visits_made : stops already made, as they were.
    clock_s : the clock now [s].
    at : the post, or other place, where one stands.

    Returns
    -------
    Problem
        The same posts and targets, from now on.

    Notes
    -----
    The time left is what the budget leaves of the clock since the first visit was set out for; what earlier stops
    caught is worth nothing again.
    """
    made = tuple(visits_made)
    done = Plan(made, problem.earliest_s, clock_s, 0.0, 0.0)
    posts = {v.post for v in made}
    clashing = {int(b) for pair in problem.conflicts for a, b in (pair, pair[::-1]) if int(a) in posts}
    latest = max(problem.latest_s, clock_s)
    missed = missed_by(problem, done)
    return replace(
        problem,
        start=at,
        earliest_s=clock_s,
        latest_s=latest,
        budget_s=latest - clock_s,
        missed=missed if problem.missed is None else problem.missed * missed,
        must_visit=tuple(i for i in problem.must_visit if i not in posts),
        forbidden=tuple(sorted((set(problem.forbidden) | posts | clashing) - {at} | (posts & {at}))),
        max_stops=None if problem.max_stops is None else max(0, problem.max_stops - len(made)),
        passing_factor=0.0,
    )


def solve_many(
    problems: Sequence[Problem], params: SolveParams, rng: np.random.Generator, rounds: int = 2
) -> tuple[Result, ...]:
    """Plan several walks over the same targets: further mornings, or a second person.

    Parameters
    ----------
    problems : one a walk, all with the same targets.
    rounds : how often each walk is planned anew given all the others.

    Returns
    -------
    tuple of Result
        One a walk, in the order given.

    Notes
    -----
    Each walk is planned for what the others miss. The worth of a result is what its walk adds to those planned for
    before it; their sum is the worth of all together. There is no certificate: what is proven of one walk given the
    others says nothing of all together.
    """
    plans: list[Result | None] = [None] * len(problems)
    for _ in range(max(1, rounds)):
        for k, problem in enumerate(problems):
            others = [i for i in range(len(problems)) if i != k and plans[i] is not None]
            missed = np.prod([np.ones(problem.targets), *(_missed(problems, plans, i) for i in others)], axis=0)
            own = np.ones(problem.targets) if problem.missed is None else problem.missed
            result = solve(replace(problem, missed=own * missed), params, rng)
            before = plans[k]
            if before is None or result.plan.worth >= _worth_given_others(problems, plans, k):
                plans[k] = result
    return tuple(_in_order(problems, plans, k) for k in range(len(problems)))


def _in_order(problems: Sequence[Problem], plans: Sequence[Result | None], k: int) -> Result:
    """Give the result of walk k, its gains counted after those of the walks before it."""
    problem, result = problems[k], plans[k]
    if result is None:
        raise NoPlanError("no walk was planned")
    before = np.prod([np.ones(problem.targets), *(_missed(problems, plans, i) for i in range(k))], axis=0)
    own = np.ones(problem.targets) if problem.missed is None else problem.missed
    plan = plan_of(replace(problem, missed=own * before), *route_of(problem, result.plan))
    return replace(result, plan=plan, certificate=None)


def _missed(problems: Sequence[Problem], plans: Sequence[Result | None], k: int) -> FloatArray:
    result = plans[k]
    return np.ones(problems[k].targets) if result is None else missed_by(problems[k], result.plan)


def _worth_given_others(problems: Sequence[Problem], plans: Sequence[Result | None], k: int) -> float:
    others = [_missed(problems, plans, i) for i in range(len(problems)) if i != k and plans[i] is not None]
    missed_by_others = np.prod([np.ones(problems[k].targets), *others], axis=0)
    return float(np.sum(problems[k].mass * missed_by_others * (1 - _missed(problems, plans, k))))
