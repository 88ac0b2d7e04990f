"""What is left of a walk that has begun, as a problem of its own.

A whole walk is solve.py's.
"""

from collections.abc import Sequence
from dataclasses import replace

from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import missed_by


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
