"""Solving a problem: the whole algorithm in one screen.

Its parts are search.py, improve.py, modular.py and bound.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.planning.plan import Plan, Result, Visit
from hushwalk.planning.problem import Problem
from hushwalk.planning.plain import plain_of
from hushwalk.planning.search import Best, Tell, advance, advance_plain, fresh_standing, hot_spots
from hushwalk.planning.tables import Tables, tables_of
from hushwalk.planning.worth import missed_by, plan_of

PIECES = ((30, (0.02, 0.01)), (60, (0.02, 0.005)), (100, (0.01, 0.002)), (200, (0.005, 0.0005)))
PLAIN_PIECES = ((100, (0.03, 0.01)), (200, (0.02, 0.005)), (500, (0.01, 0.002)), (2000, (0.006, 0.0003)))
UNTIL_STOPPED = 10**9  # definition: more steps than any run makes


@dataclass(frozen=True)
class SolveParams:
    """Limits of a run; with limits in steps and none in seconds, the same seed gives the same plan.

    Parameters
    ----------
    search_s : seconds of search for the plan, or None [s].
    iterations : steps of search, or None.
    proof_s : seconds for the proof behind it; 0 asks for none, None sets no limit [s].
    proof_nodes : most nodes of the proof, or None.
    gap : the proof stops once the plan is known to be this near to the best, as a share.
    starts : routes begun in different parts of the country.
    """

    search_s: float | None = 2.0
    iterations: int | None = None
    proof_s: float | None = 0.0
    proof_nodes: int | None = None
    gap: float = 0.0
    starts: int = 16


def solve(problem: Problem, params: SolveParams, rng: np.random.Generator, progress: Tell | None = None) -> Result:
    """Find the walk that is worth most, and prove how good it is."""
    tables = tables_of(problem)
    best = Best(progress, np.inf if params.search_s is None else params.search_s)
    stopped = "limits reached"
    try:
        search_routes(problem, tables, best, params, rng)
    except KeyboardInterrupt:
        stopped = "interrupted"
    if best.worth < 0:
        raise NoPlanError("no walk from start to end keeps the limits; give more time or lift a must-visit post")
    plan = plan_of(problem, best.stops, best.waits)
    return Result(plan, None, best.iterations, best.seconds, tuple(best.history), stopped)


def search_routes(problem: Problem, tables: Tables, best: Best, params: SolveParams, rng: np.random.Generator) -> None:
    """Improve several routes, drop the worse half again and again, then begin anew elsewhere."""
    plain = plain_of(tables) if problem.modular else None
    total = params.iterations or UNTIL_STOPPED
    pieces = PLAIN_PIECES if problem.modular else PIECES
    while best.iterations < total and not best.late:
        firsts = hot_spots(tables, params.starts - 1, rng)
        states = [fresh_standing(tables, first) for first in [None, *firsts]]
        for steps, heat in pieces:
            for state in states:
                if best.iterations >= total or (best.late and best.worth >= 0):
                    return
                now, seed = min(steps, total - best.iterations), int(rng.integers(2**31))
                if plain is None:
                    advance(tables, state, now, heat, seed)
                else:
                    advance_plain(plain, state, now, heat, seed)
                best.iterations += now
                best.offer(state.best_stops, state.best_waits, state.best_count, state.best)
            best.say("searching")
            states.sort(key=lambda s: -s.best)
            states = states[: max(2, (len(states) + 1) // 2)]


def rest_of(problem: Problem, visits_made: Sequence[Visit], clock_s: float, at: int) -> Problem:
    """What is left of a walk from where one stands.

    Parameters
    ----------
    problem : the whole walk's problem.
    visits_made : stops already made, as they were.
    clock_s : the clock now [s].
    at : the post, or other place, where one stands.

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

    Notes
    -----
    Each walk is planned for what the others miss. The worth of a result is what its walk adds to those planned for
    before it; their sum is the worth of all together.
    """
    plans: list[Result | None] = [None] * len(problems)
    for _ in range(max(1, rounds)):
        for k, problem in enumerate(problems):
            others = [i for i in range(len(problems)) if i != k and plans[i] is not None]
            missed = np.prod([np.ones(problem.targets), *(_missed(problems, plans, i) for i in others)], axis=0)
            own = np.ones(problem.targets) if problem.missed is None else problem.missed
            result = solve(replace(problem, missed=own * missed), params, rng)
            before = plans[k]
            if before is None or result.plan.worth >= _worth_beside(problems, plans, k):
                plans[k] = result
    return tuple(p for p in plans if p is not None)


def _missed(
    problems: Sequence[Problem], plans: Sequence[Result | None], k: int
) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    result = plans[k]
    return np.ones(problems[k].targets) if result is None else missed_by(problems[k], result.plan)


def _worth_beside(problems: Sequence[Problem], plans: Sequence[Result | None], k: int) -> float:
    others = [_missed(problems, plans, i) for i in range(len(problems)) if i != k and plans[i] is not None]
    beside = np.prod([np.ones(problems[k].targets), *others], axis=0)
    return float(np.sum(problems[k].mass * beside * (1 - _missed(problems, plans, k))))
