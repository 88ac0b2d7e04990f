"""Campbell, Cutler and Dennison 2024, Scientific Reports 14 (STRIDE): coefficients from the authors' repository."""

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
ON_PATH_MS = [0.7248, 1.0320, 1.2001, 1.3182, 1.3396, 1.3298, 1.2901, 1.2260, 1.0567, 0.8803, 0.6078]
THIN_GROWTH_MS = [0.3191, 0.4543, 0.5283, 0.5803, 0.5897, 0.5854, 0.5679, 0.5397, 0.4651, 0.3875, 0.2676]


def test_no_growth_and_the_roughness_of_a_trail() -> None:
    speed = pace_functions()["stride_on_path"].speed_ms(SLOPES, density=0.0, roughness_m=0.02)
    assert speed == pytest.approx(ON_PATH_MS, abs=5.1e-5)


def test_a_tenth_of_growth_more_than_halves_the_speed() -> None:
    speed = pace_functions()["stride_off_path"].speed_ms(SLOPES, density=0.1, roughness_m=0.03)
    assert speed == pytest.approx(THIN_GROWTH_MS, abs=5.1e-5)
