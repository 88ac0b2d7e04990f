"""Print the router beside two general solvers on the same orienteering instances, limits and seeds.

Run it as docs/benchmarks/orienteering.md says, where the dependency group ``compare`` is installed. Every route is
costed anew here; one that breaks the budget counts as no route. The product itself imports neither solver.
"""

import argparse
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pyvrp
from instances import all_instances, read_best, read_instance
from ortools.constraint_solver import pywrapcp, routing_enums_pb2

from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve

FINE = 1000  # judgement: both solvers count in whole numbers, so unrounded times are given in thousandths, rounded up
Solver = Callable[[Problem, float, int], list[int]]


def whole(problem: Problem) -> tuple[np.ndarray, int, np.ndarray]:
    """Times, budget and prizes in whole numbers; one unit of score is worth more than the whole budget."""
    times = problem.travel_s[0]
    fine = 1 if np.all(times == np.rint(times)) else FINE
    budget = int(np.floor(problem.budget_s * fine + 1e-6))
    return np.ceil(times * fine - 1e-6).astype(int), budget, np.rint(problem.weights).astype(int) * (budget + 1)


def ours(problem: Problem, seconds: float, seed: int) -> list[int]:
    """Posts of the router's plan, in order."""
    run = SolveParams(search_s=seconds, clock="cpu")
    return list(solve(problem, run, np.random.default_rng(seed)).plan.posts)


class ProcessorSeconds:
    """Tells PyVRP to stop once the process has used its seconds."""

    def __init__(self, seconds: float) -> None:
        self.until = time.process_time() + seconds

    def __call__(self, best_cost: float) -> bool:  # noqa: ARG002 (PyVRP hands over the cost)
        """Whether the seconds are used up."""
        return time.process_time() >= self.until


def pyvrp_route(problem: Problem, seconds: float, seed: int) -> list[int]:
    """Clients that may be left out, each with a prize, and one vehicle with a longest distance."""
    times, budget, prizes = whole(problem)
    model = pyvrp.Model()
    ends = [problem.start] if problem.start == problem.end else [problem.start, problem.end]
    inner = [k for k in range(problem.posts) if k not in ends]
    order = [*ends, *inner]
    spots = [model.add_location(0, 0) for _ in order]
    depots = [model.add_depot(spot) for spot in spots[: len(ends)]]
    for k, spot in zip(inner, spots[len(ends) :], strict=True):
        model.add_client(spot, prize=int(prizes[k]), required=False)
    model.add_vehicle_type(1, start_depot=depots[0], end_depot=depots[-1], max_distance=budget)
    for a, one in zip(order, spots, strict=True):
        for b, other in zip(order, spots, strict=True):
            if a != b:
                model.add_edge(one, other, distance=int(times[a, b]))
    stop = ProcessorSeconds(seconds)
    best = model.solve(stop=stop, seed=seed, display=False).best
    if not best.is_feasible():
        return []
    visits = [visit for route in best.routes() for visit in route.schedule()]
    return [inner[visit.idx] for visit in visits if visit.is_client()]


def ortools_route(problem: Problem, seconds: float, seed: int) -> list[int]:  # noqa: ARG001 (it takes no seed)
    """One vehicle, each place may be left out at a price; cheapest arcs first, then guided local search."""
    times, budget, prizes = whole(problem)
    index = pywrapcp.RoutingIndexManager(problem.posts, 1, [problem.start], [problem.end])
    model = pywrapcp.RoutingModel(index)
    rows = times.tolist()
    leg = model.RegisterTransitCallback(lambda a, b: rows[index.IndexToNode(a)][index.IndexToNode(b)])
    model.SetArcCostEvaluatorOfAllVehicles(leg)
    model.AddDimension(leg, 0, budget, True, "time")  # noqa: FBT003 (the solver takes it by position)
    for k in range(problem.posts):
        if k not in (problem.start, problem.end):
            model.AddDisjunction([index.NodeToIndex(k)], int(prizes[k]))
    how = pywrapcp.DefaultRoutingSearchParameters()
    how.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    how.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    how.time_limit.FromSeconds(max(1, round(60 * seconds)))
    until = time.process_time() + seconds
    model.AddSearchMonitor(model.solver().CustomLimit(lambda: time.process_time() >= until))
    found = model.SolveWithParameters(how)
    if found is None:
        return []
    walk, at = [], found.Value(model.NextVar(model.Start(0)))
    while not model.IsEnd(at):
        walk.append(index.IndexToNode(at))
        at = found.Value(model.NextVar(at))
    return walk


UNSEEDED = ("OR-Tools",)  # definition: it takes no seed, so that it is run once
SOLVERS: dict[str, Solver] = {"hushwalk": ours, "PyVRP": pyvrp_route, "OR-Tools": ortools_route}


def score_of(problem: Problem, walk: list[int]) -> float:
    """Score of a walk costed anew; that of the ends alone where it repeats a place or takes too long."""
    ends = sum(float(problem.weights[k]) for k in {problem.start, problem.end})
    took = sum(float(problem.travel_s[0, a, b]) for a, b in pairwise([problem.start, *walk, problem.end]))
    sound = len(set(walk)) == len(walk) and took <= problem.budget_s * (1 + 1e-9)
    return ends + float(problem.weights[walk].sum()) if sound and walk else ends


def main() -> None:
    """Run every solver on every chosen instance and print gaps to the best known score."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("folder", type=Path)
    ask.add_argument("--seconds", type=float, default=2.0, help="processor seconds a run")
    ask.add_argument("--seeds", type=int, default=2)
    ask.add_argument(
        "--every", type=int, default=12, help="only every so many-th instance, in order of points, then name"
    )
    given = ask.parse_args()
    known = read_best(given.folder / "best_known.csv")
    held = [(p.posts, name, p) for name, p in _known_instances(given.folder, known)]
    chosen = sorted(held, key=lambda row: row[:2])[given.every // 2 :: given.every]
    solve(chosen[0][2], SolveParams(search_s=None, iterations=5000), np.random.default_rng(0))
    print(f"{given.seconds:g} processor seconds a run, {given.seeds} seeds ({', '.join(UNSEEDED)}: one run)")
    print("percent below the best known score\n")
    print("| instance | points | best known | " + " | ".join(SOLVERS) + " |")
    print("|---|---|---|" + "---|" * len(SOLVERS))
    every: dict[str, list[float]] = {name: [] for name in SOLVERS}
    for posts, name, problem in chosen:
        top, cells = known[name][0], []
        for solver, run in SOLVERS.items():
            seeds = range(1 if solver in UNSEEDED else given.seeds)
            scores = [score_of(problem, run(problem, given.seconds, seed)) for seed in seeds]
            own = [(top - s) / top * 100 for s in scores]
            every[solver] += own
            cells.append(f"{np.mean(own):.2f}")
        print(f"| {name} | {posts} | {top:g} | {' | '.join(cells)} |", flush=True)
    print("| mean | | | " + " | ".join(f"{np.mean(v):.2f}" for v in every.values()) + " |")
    print("| worst run | | | " + " | ".join(f"{max(v):.2f}" for v in every.values()) + " |")


def _known_instances(folder: Path, known: dict[str, tuple[float, float]]) -> list[tuple[str, Problem]]:
    return [(name, read_instance(path)) for name, path in all_instances(folder).items() if name in known]


if __name__ == "__main__":
    main()
