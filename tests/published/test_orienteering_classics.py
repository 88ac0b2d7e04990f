"""Published orienteering instances and scores.

Tsiligirides (1984), J Oper Res Soc 35:797-809 and Chao, Golden and Wasil (1996), Eur J Oper Res 88:475-489: instance
files. OPLib: Fischetti, Salazar-Gonzalez and Toth (1998), INFORMS J Comput 10:133-148; Kobeaga, Merino and Lozano
(2018), Comput Oper Res 90:42-59. The scores are those of best_known.csv beside the instances; each was found, and most
were proven, by another programme than this one, and the 89 classic ones equal the literature as remembered.
"""

import importlib.util
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from hushwalk.planning.model.clock import arrival
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.solve import SolveParams, solve

RUN = SolveParams(search_s=None, iterations=12000)


@pytest.fixture(scope="module")
def read() -> ModuleType:
    path = Path(__file__).resolve().parents[2] / "docs" / "benchmarks" / "instances.py"
    spec = importlib.util.spec_from_file_location("instances", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def walked(problem: Problem, posts: tuple[int, ...]) -> float:
    way = [problem.start, *posts, problem.end]
    return float(sum(problem.travel_s[0, a, b] for a, b in pairwise(way)))


CLASSICS = [
    ("Tsiligirides_1/tsiligirides_problem_1_budget_30", 110),
    ("Tsiligirides_1/tsiligirides_problem_1_budget_46", 175),
    ("Tsiligirides_1/tsiligirides_problem_1_budget_73", 265),
    ("Tsiligirides_3/tsiligirides_problem_3_budget_050", 520),
    ("Tsiligirides_3/tsiligirides_problem_3_budget_075", 670),
    ("ChaoSet_66/set_66_1_030", 400),
    ("ChaoSet_66/set_66_1_060", 915),
    ("ChaoSet_66/set_66_1_100", 1465),
]


@pytest.mark.real_layers
@pytest.mark.parametrize(("name", "score"), CLASSICS)
def test_classic_instances_reach_their_best_known_score(
    shared_data: Path, read: ModuleType, name: str, score: float
) -> None:
    problem = read.read_plain(shared_data / "orienteering" / f"{name}.txt")
    plan = solve(problem, RUN, np.random.default_rng(3)).plan
    assert plan.worth == score
    assert len(set(plan.posts)) == len(plan.posts)
    assert walked(problem, plan.posts) <= problem.budget_s + 1e-6


@pytest.mark.real_layers
@pytest.mark.parametrize(
    "name", ["att48-gen1", "brazil58-gen1", "gr96-gen1", "kroC100-gen1", "berlin52-gen2", "gr96-gen2"]
)
def test_oplib_instances_reach_their_best_known_score(shared_data: Path, read: ModuleType, name: str) -> None:
    folder, path = shared_data / "orienteering", f"{name.split('-')[1]}/{name}-50"
    best = read.read_best(folder / "best_known.csv")[path][0]
    problem = read.read_oplib(folder / "oplib" / f"{path}.oplib")
    plan = solve(problem, RUN, np.random.default_rng(3)).plan
    assert plan.worth == best
    assert walked(problem, plan.posts) <= problem.budget_s


@pytest.mark.real_layers
@pytest.mark.parametrize(
    "name", ["Tsiligirides_1/tsiligirides_problem_1_budget_46", "gen1/eil51-gen1-50", "gen1/pr76-gen1-50"]
)
def test_the_best_known_score_is_proven(shared_data: Path, read: ModuleType, name: str) -> None:
    folder = shared_data / "orienteering"
    problem = read.read_instance(read.all_instances(folder)[name])
    best = read.read_best(folder / "best_known.csv")[name][0]
    proof = SolveParams(search_s=None, iterations=2000, proof_s=60.0)
    found = solve(problem, proof, np.random.default_rng(1)).certificate
    assert found is not None
    assert found.bound == best


@pytest.mark.real_layers
def test_time_dependent_legs_follow_the_published_speeds(shared_data: Path, read: ModuleType) -> None:
    """Verbeeck, Sorensen, Aghezzaf and Vansteenwegen (2014), Eur J Oper Res 236:419-432: instances and speeds."""
    folder = shared_data / "orienteering" / "tdop"
    problem = read.read_time_dependent(
        folder / "dataset1/OP_instances/p1.1.g.txt", folder / "dataset1/arc_cat_1.txt", folder / "speedmatrix.txt"
    )
    tables, hour = tables_of(problem), 3600.0
    # each leg is walked again here, second by second
    for a, b, leave in [(1, 3, 8.9), (2, 7, 16.95), (5, 20, 18.5), (0, 30, 8.5)]:
        clock, left = leave * hour, 1.0
        while left > 0:
            period = int(np.searchsorted([9 * hour, 17 * hour, 19 * hour], clock, side="right"))
            left -= 1 / problem.travel_s[period, a, b]
            clock += 1
        assert arrival(tables, a, b, leave * hour) == pytest.approx(clock, abs=2.0)
    plan = solve(problem, SolveParams(search_s=None, iterations=150), np.random.default_rng(1)).plan
    assert plan.duration_s <= problem.budget_s * (1 + 1e-6)
    assert plan.worth > 200
