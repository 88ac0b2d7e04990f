"""Solving a problem: the whole algorithm in one screen.

Its parts are in heuristic/ and bound/, and in orienteering/ where nothing overlaps.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from hushwalk.errors import NoPlanError, SettingsError
from hushwalk.planning.bound.branch_and_bound import ProofParams, prove
from hushwalk.planning.bound.loose_bound import can_prove, loose_bound
from hushwalk.planning.bound.rounded_down import rounded_down
from hushwalk.planning.heuristic.search_state import (
    Incumbent,
    ProgressCallback,
    advance,
    new_state,
    start_posts,
    state_of,
)
from hushwalk.planning.model.plan import Certificate, Plan, Result
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import Tables, passing_worth, tables_of
from hushwalk.planning.model.worth import evaluate_route, plan_of, without_idle_end
from hushwalk.planning.orienteering.crossover import Population
from hushwalk.planning.orienteering.plain import plain_of
from hushwalk.planning.orienteering.plain_bound import plain_bound
from hushwalk.planning.orienteering.sparse_walks import walk_along
from hushwalk.types import FloatArray, IntArray

SCHEDULE = ((30, (0.02, 0.01)), (60, (0.02, 0.005)), (100, (0.01, 0.002)), (200, (0.005, 0.0005)))
Routes = Sequence[tuple[IntArray, FloatArray]]
"""Walks as :func:`plan_of` takes them: posts and dwell choices, shape (2, k), and waits, shape (k + 1,) [s]."""
WITHDRAWN = "all there is: the bound that was found lay below the plan and was withdrawn"
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
    threads : threads of the proof.
    clock : whether seconds are read off the wall, or are the processor's own for this process (on a busy machine, and
        for comparisons).
    enough : the search ends once the plan is worth this.
    keeps_best : whether an interrupt (Ctrl-C) gives the best walk so far. Otherwise it goes on up, so that nobody
        keeps half a search as the plan.

    Raises
    ------
    SettingsError
        If a limit cannot be.
    """

    search_s: float | None = 2.0
    iterations: int | None = None
    proof_s: float | None = 0.0
    proof_nodes: int | None = None
    gap: float = 0.0
    starts: int = 16
    threads: int = 2
    clock: Literal["wall", "cpu"] = "wall"
    enough: float = np.inf
    keeps_best: bool = False

    def __post_init__(self) -> None:
        least = {"search_s": 0, "iterations": 0, "proof_s": 0, "proof_nodes": 0, "gap": 0, "starts": 1, "threads": 1}
        for name, limit in least.items():
            value = getattr(self, name)
            if value is not None and not value >= limit:
                raise SettingsError(f"{name} must be {limit} or more, got {value}")


def solve(
    problem: Problem,
    params: SolveParams,
    rng: np.random.Generator,
    progress: ProgressCallback | None = None,
    known: Routes = (),
    worth_proving: Callable[[Plan], bool] = lambda _: True,
) -> Result:
    """Find the walk that is worth most, and prove how good it is.

    Parameters
    ----------
    problem : of either kind, :class:`Problem` or what :func:`orienteering_problem` gives.
    params : limits.
    rng : where all chance comes from.
    progress : told now and then how far it is.
    known : walks to begin at besides; the plan is worth no less than the best of them that keeps the limits.
    worth_proving : whether a proof is wanted behind a plan that the search has found.

    Returns
    -------
    Result
        Plan, certificate, and how the run went.

    Raises
    ------
    NoPlanError
        If no walk was found that keeps the limits.

    Examples
    --------
    >>> from hushwalk.planning.model.problem import orienteering_problem
    >>> line = orienteering_problem([[0, 3, 9], [3, 0, 9], [9, 9, 0]], [0, 5, 7], 10.0)
    >>> run = SolveParams(search_s=None, iterations=200)
    >>> solve(line, run, np.random.default_rng(1)).plan.posts
    (1,)
    """
    tables = tables_of(problem)
    clock = time.perf_counter if params.clock == "wall" else time.process_time
    enough = params.enough * (1 - 1e-12) - float(passing_worth(problem).sum())
    best = Incumbent(progress, np.inf if params.search_s is None else params.search_s, enough, clock)
    stopped, proof = "limits reached", ""
    try:
        known = (*known, *quickest_routes(problem, tables), *routes_by_must(problem))
        search_routes(problem, tables, best, params, rng, kept_routes(problem, tables, best, known))
        if params.proof_s != 0 and (best.worth < 0 or worth_proving(planned(problem, best))):
            proof = "bounded"
            prove_routes(problem, tables, best, params, rng)
    except KeyboardInterrupt:
        if best.worth < 0 or not params.keeps_best:  # with nothing found so far, nothing is known of the limits
            raise
        stopped = "interrupted"
    if best.worth < 0:
        raise NoPlanError("no walk from start to end keeps the limits; give more time or lift a must-visit post")
    plan = planned(problem, best)
    proven = certificate(problem, plan, best) if proof else None
    return Result(plan, proven, best.iterations, best.seconds, tuple(best.history), stopped)


def planned(problem: Problem, best: Incumbent) -> Plan:
    """Give the best walk so far as a plan."""
    return plan_of(problem, *without_idle_end(problem, best.stops, best.waits))


def kept_routes(problem: Problem, tables: Tables, best: Incumbent, known: Routes) -> Routes:
    """Of known walks those that keep the limits; the best of them becomes the incumbent.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    tables : the problem laid out for compiled code.
    best : the run and its best route so far.
    known : walks.

    Returns
    -------
    sequence of walks
    """
    kept, missed = [], np.ones(problem.targets)
    for stops, waits in known:
        count, posts = stops.shape[1], stops[0]
        clash = bool(tables.clash[np.ix_(posts, posts)].any())
        sound = tables.usable[posts].all() and len(np.unique(posts)) == count and not clash
        if not sound or not set(problem.must_visit) <= set(posts.tolist()):
            continue
        worth, _ = evaluate_route(tables, stops, waits, count, np.zeros(count + 1), missed)
        if worth >= 0:
            kept.append((stops, waits))
            best.update(stops, waits, count, worth)
    return kept


def quickest_routes(problem: Problem, tables: Tables) -> Routes:
    """Walks home by way of posts, for ground where the direct way home breaks a limit and a way round does not.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    tables : the problem laid out for compiled code.

    Returns
    -------
    sequence of walks
        None where the direct way home keeps all limits; they may break others.
    """
    none = np.zeros((2, 0), np.int64)
    if problem.modular or evaluate_route(tables, none, np.zeros(1), 0, np.zeros(1), np.ones(problem.targets))[0] >= 0:
        return ()
    places = np.append(np.flatnonzero(tables.usable), [tables.start, tables.end])
    found = []
    for cost in (tables.travel.min(axis=0), tables.length):
        steps = csr_array(cost[np.ix_(places, places)] + 1e-9)  # a leg of no length is a leg
        _, before = dijkstra(steps, indices=len(places) - 2, return_predecessors=True)
        way, place = [], int(before[-1])
        while place >= 0 and place != len(places) - 2:
            way.append(places[place])
            place = int(before[place])
        if way:
            stops = np.array([way[::-1], [int(np.argmin(tables.dwell))] * len(way)], np.int64)
            found.append((stops, np.zeros(len(way) + 1)))
    return found


def routes_by_must(problem: Problem) -> Routes:
    """Walks by several posts that must be visited, in their order and back, with each dwell.

    Where they are many, a search that puts post after post into a route finds none that has them all.
    """
    must = problem.must_visit
    if len(must) < 2 or problem.modular:  # noqa: PLR2004 - definition: one has no order
        return ()
    orders, dwells = dict.fromkeys((must, must[::-1])), range(len(problem.dwell_s))
    return [
        (np.array([order, (dwell,) * len(must)], np.int64), np.zeros(len(must) + 1))
        for order in orders
        for dwell in dwells
    ]


def prove_routes(
    problem: Problem, tables: Tables, best: Incumbent, params: SolveParams, rng: np.random.Generator
) -> None:
    """Bound the best possible worth by the method that fits the problem.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    tables : the problem laid out for compiled code.
    best : the run and its best route so far.
    params : limits of the run.
    rng : where all chance comes from.
    """
    until_s = np.inf if params.proof_s is None else best.seconds + params.proof_s
    limits = ProofParams(params.gap, params.proof_nodes, until_s, params.threads)
    if problem.modular:
        plain_bound(tables, best, until_s)
    elif can_prove(tables):
        prove(tables, best, limits, rng)
    else:
        best.bound = min(best.bound, loose_bound(tables))
        prove_rounded_down(problem, tables, best, limits, rng)


def prove_rounded_down(
    problem: Problem, tables: Tables, best: Incumbent, limits: ProofParams, rng: np.random.Generator
) -> None:
    """Bound a problem without ticks by one with ticks, in which every walk of it is one; its own walks are not kept.

    Parameters
    ----------
    problem : whose clock has no ticks.
    tables : the problem laid out for compiled code.
    best : the run and its best route so far.
    limits : of the proof.
    rng : where all chance comes from.
    """
    ticked = rounded_down(problem, tables) if problem.step_s <= 0 else None
    if ticked is None or not can_prove(ticked):
        return
    other = Incumbent(best.progress, best.deadline, clock=best.clock, worth=best.worth)
    other.began = best.began
    prove(ticked, other, limits, rng)
    best.bound = min(best.bound, other.bound)


def certificate(problem: Problem, plan: Plan, best: Incumbent) -> Certificate:
    """Say what is proven of a plan, for the posts, clock and dwells it was made with.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    plan : a plan of that problem.
    best : the run and its best route so far.

    Returns
    -------
    Certificate
        Plan and bound, for these posts, clock and dwells.
    """
    all_there_is = float(problem.mass.sum())
    bound = min(best.bound + plan.passing, all_there_is)
    how = "cuts" if problem.modular else "relaxed walks"
    if bound < plan.worth * (
        1 - Certificate.PROVEN
    ):  # no plan lies above a bound: the proof is wrong, so it says nothing
        return Certificate(
            plan.worth, all_there_is, problem.posts, problem.step_s, problem.dwell_s, WITHDRAWN, best.seconds
        )
    bound = max(bound, plan.worth)  # by rounding
    return Certificate(plan.worth, bound, problem.posts, problem.step_s, problem.dwell_s, how, best.seconds)


def search_routes(
    problem: Problem,
    tables: Tables,
    best: Incumbent,
    params: SolveParams,
    rng: np.random.Generator,
    known: Routes = (),
) -> None:
    """Improve several routes, drop the worse half again and again, then begin anew elsewhere.

    Parameters
    ----------
    problem : in ticks, or plain orienteering.
    tables : the problem laid out for compiled code.
    best : the run and its best route so far.
    params : limits of the run.
    rng : where all chance comes from.
    known : walks that keep the limits, to begin at besides; plain orienteering takes none.
    """
    total = params.iterations or UNTIL_STOPPED
    if problem.modular:
        evolve_populations(tables, best, total, params.starts, rng)
        return
    while True:
        firsts = start_posts(tables, params.starts - 1, rng)
        states = [new_state(tables, first) for first in [None, *firsts]]
        states += [state_of(tables, stops, waits) for stops, waits in known]
        for steps, temperature in SCHEDULE:
            for state in states:
                now, seed = min(steps, total - best.iterations), int(rng.integers(2**31))
                advance(tables, state, now, temperature, seed)
                best.iterations += now
                best.update(state.best_stops, state.best_waits, state.best_count, state.best)
                if best.iterations >= total or best.late():
                    return
            best.report("searching")
            states.sort(key=lambda s: -s.best)
            states = states[: max(2, (len(states) + 1) // 2)]


def evolve_populations(tables: Tables, best: Incumbent, total: int, starts: int, rng: np.random.Generator) -> None:
    """Breed populations of routes of plain orienteering, one after another.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    best : the run and its best route so far.
    total : most steps, or the time of the route [s].
    starts : routes begun.
    rng : where all chance comes from.
    """
    plain = plain_of(tables)
    best.enough = min(best.enough, float(plain.score.sum()) * (1 - 1e-12))
    walk_along(plain, best, rng)
    population = Population(plain, best, total, rng)
    while not population.over():
        population.found(starts)
        best.report("searching")
        population.evolve()
        best.report("searching")
