import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar
from scipy.stats import norm

from hushwalk.science.detection import (
    any_of,
    best_minutes,
    cue_chance,
    effective_radius_m,
    half_normal,
    half_normal_radii_m,
    hazard_rate,
    hazard_rate_radius_m,
    heard_chance,
    mean_half_normal,
)


def test_heard_chance_is_the_normal_distribution() -> None:
    margins = np.array([[-12.0, -6.0, 0.0], [3.0, 6.0, 30.0]])
    assert heard_chance(margins, 6.0) == pytest.approx(norm.cdf(margins / 6))


@pytest.mark.parametrize("scale", [170.0, 255.0])
def test_half_normal_radii_are_what_its_integrals_say(scale: float) -> None:
    radius, half = half_normal_radii_m(scale)
    area, _ = quad(lambda r: 2 * math.pi * r * float(half_normal(r, scale)), 0, 20 * scale)
    assert math.pi * radius**2 == pytest.approx(area)
    assert float(half_normal(half, scale)) == pytest.approx(0.5)


@pytest.mark.parametrize("shape", [2.5, 3.0, 5.0])
def test_hazard_rate_radius_is_what_its_integral_says(shape: float) -> None:
    # 2 int g r dr with r = exp(x), the far tail of which is slow
    area, _ = quad(lambda x: 2 * math.exp(2 * x) * float(hazard_rate(math.exp(x), 1.0, shape)), -20, 40, limit=400)
    assert hazard_rate_radius_m(1.0, shape) == pytest.approx(math.sqrt(area), rel=1e-4)


@pytest.mark.parametrize("disc", [200.0, 400.0])
def test_mean_over_a_disc(disc: float) -> None:
    area, _ = quad(lambda r: 2 * r / disc**2 * float(half_normal(r, 255.0)), 0, disc)
    assert mean_half_normal(255.0, disc) == pytest.approx(area)


def test_effective_radius_of_a_table() -> None:
    far = np.arange(0, 3000.0, 5)
    assert effective_radius_m(far, half_normal(far, 255.0)) == pytest.approx(255 * math.sqrt(2), rel=1e-3)


@pytest.mark.parametrize("walk_min", [2.0, 6.0, 20.0])
@pytest.mark.parametrize("rate", [0.2578, 0.129])
def test_best_minutes_is_a_maximum(rate: float, walk_min: float) -> None:
    found = minimize_scalar(lambda t: -float(cue_chance(rate, t)) / (t + walk_min), bounds=(0.01, 60), method="bounded")
    assert best_minutes(rate, walk_min) == pytest.approx(found.x, abs=0.01)


def test_three_stops_by_hand() -> None:
    # stops at 0, 300, 600 m on a line, a male at (250, 150): worked out by hand for s = 254.8, 5 min
    ranges = np.hypot(np.array([0, 300, 600]) - 250, 150)
    each = half_normal(ranges, 254.8) * cue_chance(0.2578, 5.0)
    assert each / cue_chance(0.2578, 5.0) == pytest.approx([0.5196, 0.8249, 0.3274], abs=5e-5)
    assert float(any_of(each)) == pytest.approx(0.8086, abs=5e-5)
