"""What is public: every name loads, is typed, has words of its own, and costs nothing before it is asked for."""

import ast
import inspect
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import hushwalk

STUB = Path(hushwalk.__file__).with_name("__init__.pyi")
PUBLIC = [name for name in hushwalk.__all__ if name != "__version__"]


@pytest.mark.parametrize("name", PUBLIC)
def test_a_public_name_loads_and_says_what_it_is(name: str) -> None:
    assert len(inspect.getdoc(getattr(hushwalk, name)) or "") > 10
    assert name in dir(hushwalk)


def test_the_stub_names_the_same_and_from_the_same_modules() -> None:
    named = {
        alias.name: node.module
        for node in ast.parse(STUB.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert named == {name: f"hushwalk.{room}" for name, room in hushwalk._ROOM_OF.items()}


def test_importing_the_package_loads_no_library() -> None:
    code = "import sys, hushwalk; print([m for m in ('numpy', 'pydantic', 'numba', 'rasterio') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"


def test_a_name_that_is_none_is_refused_as_python_does() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'open_tripp'"):
        hushwalk.open_tripp  # type: ignore[attr-defined]  # noqa: B018


def every_walk(times: np.ndarray, scores: np.ndarray, budget: float) -> float:
    """Brute force: the best score of any order of any places from 0 back to 0."""
    best, stack = float(scores[0]), [((0,), 0.0)]
    while stack:
        walk, gone = stack.pop()
        if gone + times[walk[-1], 0] <= budget:
            best = max(best, float(scores[list(walk)].sum()))
        onward = ((place, gone + times[walk[-1], place]) for place in range(len(scores)) if place not in walk)
        stack += [((*walk, place), then) for place, then in onward if then <= budget]
    return best


def test_orienteering_finds_what_brute_force_finds() -> None:
    rng = np.random.default_rng(5)
    places = rng.random((7, 2))
    times = np.hypot(*(places[:, None] - places).T)
    scores = rng.integers(1, 9, 7).astype(float)
    walk = hushwalk.orienteering(times, scores, 1.6, steps=400, proof_s=2)
    assert walk.plan.worth == pytest.approx(every_walk(times, scores, 1.6))
    assert walk.certificate is not None
    assert walk.certificate.bound >= walk.plan.worth - 1e-9
    with pytest.raises(hushwalk.InputError, match="scores must be one finite number"):
        hushwalk.orienteering(times, [-1.0] * 7, 1.6)
