"""Search on foot against worked figures: Koester et al. (2014), Wilderness Environ. Med. 25:132-142; Koopman (1980).

The factors 1.1, 1.6 and 1.8 are those of the abstract; the times below are worked by hand from the two formulas.
"""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from hushwalk.science.search_theory import (
    after_search,
    best_effort,
    crossing_area_m2,
    found_chance,
    path_for_chance_m,
    sweep_width_m,
)


@pytest.mark.parametrize(("visibility", "factor"), [("low", 1.1), ("medium", 1.6), ("high", 1.8)])
def test_sweep_width_is_the_published_multiple_of_the_range_of_detection(visibility: str, factor: float) -> None:
    assert sweep_width_m(12.0, visibility) == pytest.approx(12.0 * factor)


@pytest.mark.parametrize(
    ("sweep_m", "area_m2", "pace_kmh", "minutes"), [(16.0, 10_000.0, 1.5, 40.2), (10.0, 4_600.0, 1.0, 44.4)]
)
def test_minutes_for_four_chances_in_five(sweep_m: float, area_m2: float, pace_kmh: float, minutes: float) -> None:
    path_m = path_for_chance_m(sweep_m, area_m2, 0.8)
    assert path_m / (pace_kmh * 1000 / 60) == pytest.approx(minutes, abs=0.1)
    assert float(found_chance(sweep_m, path_m, area_m2)) == pytest.approx(0.8)


def test_the_ellipse_of_two_bearings_at_a_hundred_metres() -> None:
    # two bearings of 12 degrees that cross at 75 degrees, 100 m from each: 0.46 ha hold the bird with 0.8
    assert crossing_area_m2((100.0, 100.0), 12.0, 75.0, 0.8) == pytest.approx(4592, abs=1)
    rng = np.random.default_rng(3)
    sd, angle = math.radians(0.5), math.radians(75.0)  # small errors: the closed form is exact there
    errors = rng.normal(0.0, sd, (200_000, 2)) * 100.0
    normals = np.array([[0.0, 1.0], [-math.sin(angle), math.cos(angle)]])
    places = np.linalg.solve(normals, errors.T)
    spread = np.linalg.det(np.cov(places)) ** 0.5 * math.pi * -2 * math.log(0.2)
    assert crossing_area_m2((100.0, 100.0), 0.5, 75.0, 0.8) == pytest.approx(spread, rel=0.02)


def test_searched_ground_is_lowered_and_never_cleared() -> None:
    after = after_search(np.array([0.5, 0.3]), np.array([0.8, 0.0]))
    # by hand: 0.5 * 0.2 = 0.1 and 0.3 over 0.1 + 0.3 + 0.2
    assert after == pytest.approx([1 / 6, 0.5])


def test_the_spread_of_effort_is_the_best_that_a_general_optimiser_finds() -> None:
    rng = np.random.default_rng(11)
    for _ in range(20):
        p, c, effort = rng.dirichlet(np.ones(6)), rng.uniform(0.5, 4.0, 6), float(rng.uniform(0.3, 8.0))
        spent = best_effort(p, c, effort)
        assert spent.min() >= 0
        assert spent.sum() == pytest.approx(effort)
        found = float((p * -np.expm1(-spent / c)).sum())
        other = minimize(
            lambda x, p=p, c=c: float((p * np.exp(-x / c)).sum()),
            np.full(6, effort / 6),
            bounds=[(0.0, effort)] * 6,
            constraints={"type": "eq", "fun": lambda x, effort=effort: x.sum() - effort},
            method="SLSQP",
            options={"maxiter": 500, "ftol": 1e-12},
        )
        assert found >= 1 - other.fun - 1e-6


def test_no_effort_and_no_chance_spend_nothing() -> None:
    assert best_effort([0.0, 0.0], [1.0, 1.0], 3.0) == pytest.approx([0.0, 0.0])
    assert best_effort([0.5, 0.5], [1.0, 1.0], 0.0) == pytest.approx([0.0, 0.0])
