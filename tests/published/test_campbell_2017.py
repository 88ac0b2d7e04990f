"""Campbell, Dennison and Butler 2017, IJWF 26:884-895: transects off path."""

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = [1.0046, 1.4344, 1.5766, 1.6549, 1.6676, 1.6620, 1.6379, 1.5956, 1.4591, 1.2610, 0.7288]


def test_bare_smooth_ground() -> None:
    assert pace_functions()["campbell_2017"].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS, abs=5.1e-5)


def test_growth_and_roughness_take_their_share() -> None:
    speed = float(pace_functions()["campbell_2017"].speed_ms(0.0, density=0.3, roughness_m=0.05))
    assert speed == pytest.approx(1.662 - 1.076 * 0.3 - 9.011 * 0.05)


def test_where_the_equation_turns_negative_it_is_held_at_a_crawl() -> None:
    """Density 0.3, roughness 0.05 m, slope 0.5: the equation gives -0.045 m/s."""
    speed = float(pace_functions()["campbell_2017"].speed_ms(0.5, density=0.3, roughness_m=0.05))
    assert 0 < speed <= 0.01
