"""Campbell and others 2024, Fire 7:292: symmetric hiking curve, and the ford from its stream multiplier."""

import pytest

from hushwalk.science.gait import ford_seconds, pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = [0.5048, 0.7553, 0.9252, 1.0819, 1.1314, 1.1491, 1.1314, 1.0819, 0.9252, 0.7553, 0.5048]


def test_the_equation() -> None:
    assert pace_functions()["campbell_2022_symmetric"].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS, abs=5.1e-5)


def test_a_ford_is_four_times_the_thirty_metres_of_a_cell() -> None:
    assert ford_seconds() == pytest.approx(4 * 30 / 1.1491, rel=1e-4)
