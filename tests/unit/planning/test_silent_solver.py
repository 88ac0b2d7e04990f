"""A process that proves a walk prints nothing of its own accord; the solver's own words come once a process."""

import subprocess
import sys

PROOF = """
import numpy as np
from hushwalk.planning.orienteering.edge_programme import _Silent
model, none = _Silent(), np.zeros(0, np.int32)
model.addCols(1, -np.ones(1), np.zeros(1), np.ones(1), 0, none, none, np.zeros(0))
model.run()
print(model.getSolution().col_value)
"""


def test_the_solver_prints_nothing() -> None:
    ran = subprocess.run([sys.executable, "-c", PROOF], capture_output=True, text=True, check=True)
    assert ran.stdout == "[1.0]\n"
    assert ran.stderr == ""
