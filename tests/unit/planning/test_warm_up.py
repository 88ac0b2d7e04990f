"""Making ready calls every compiled function that a real morning calls."""

import subprocess
import sys

LISTED = """
from hushwalk.planning.warm_up import warm_up
warm_up()
from numba.core.dispatcher import Dispatcher
import gc
was = {id(d): len(d.signatures) for d in gc.get_objects() if isinstance(d, Dispatcher)}
import numpy as np
from scipy.sparse import random_array
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve
rng = np.random.default_rng(1)
xy = rng.uniform(0, 2000, (30, 2))
away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
problem = Problem(
    travel_s=np.stack([away * 1.3, away]), chance=random_array((30, 200), density=0.1, rng=rng, format="csr"),
    weights=rng.uniform(0, 1, 200), start=0, end=0, earliest_s=0.0, latest_s=7200.0, budget_s=7200.0,
    dwell_s=(180.0, 300.0, 600.0), clock_s=np.array([0.0, 3600.0, 7200.0]),
    availability=rng.uniform(0.2, 0.9, (3, 3)), period_starts_s=(1800.0,), max_stops=12,
)
solve(problem, SolveParams(search_s=None, iterations=400, proof_s=None, proof_nodes=3), np.random.default_rng(0))
new = [d.py_func.__qualname__ for d in gc.get_objects() if isinstance(d, Dispatcher)
       and d.py_func.__module__.startswith("hushwalk.planning") and len(d.signatures) > was.get(id(d), 0)]
print(sorted(new))
"""


def test_a_morning_compiles_nothing_once_all_is_ready() -> None:
    done = subprocess.run([sys.executable, "-c", LISTED], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
