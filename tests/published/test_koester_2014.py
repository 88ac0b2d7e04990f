"""Search on foot against worked figures: Koester et al. (2014), Wilderness Environ. Med. 25:132-142; Koopman (1980).

The factors 1.1, 1.6 and 1.8 are those of the abstract; the times below are worked by hand from the two formulas.
"""

import math

import numpy as np
import pytest

from hushwalk.science.search_theory import (
    after_search,
    crossing_area_m2,
    found_chance,
    sweep_width_m,
)


@pytest.mark.parametrize(("visibility", "factor"), [("low", 1.1), ("medium", 1.6), ("high", 1.8)])
def test_sweep_width_is_the_published_multiple_of_the_range_of_detection(visibility: str, factor: float) -> None:
    assert sweep_width_m(12.0, visibility) == pytest.approx(12.0 * factor)


@pytest.mark.parametrize(
    ("sweep_m", "area_m2", "pace_kmh", "minutes"), [(16.0, 10_000.0, 1.5, 40.2), (10.0, 4_600.0, 1.0, 44.4)]
)
def test_minutes_for_four_chances_in_five(sweep_m: float, area_m2: float, pace_kmh: float, minutes: float) -> None:
    path_m = minutes * pace_kmh * 1000 / 60
    assert float(found_chance(sweep_m, path_m, area_m2)) == pytest.approx(0.8, abs=0.001)


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
