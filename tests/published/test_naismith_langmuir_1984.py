"""Naismith's rule with Langmuir's corrections, as restated by Campbell and others 2019."""

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = [0.5814, 0.7576, 3.1250, 1.9231, 1.3889, 1.3889, 0.9804, 0.7576, 0.5208, 0.3968, 0.2688]


def test_the_equation() -> None:
    assert pace_functions()["naismith_langmuir"].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS, abs=5.1e-5)


def test_the_rule_in_its_own_words() -> None:
    """5 km in an hour, and an hour more for every 600 m of climb (the metric form of the rule, common practice)."""
    seconds = 5000 * float(pace_functions()["naismith_langmuir"].seconds_per_metre(600 / 5000))
    assert seconds == pytest.approx(2 * 3600)


def test_the_known_jump_at_twelve_degrees_down() -> None:
    pace = pace_functions()["naismith_langmuir"]
    assert float(pace.speed_ms(-0.2125)) == pytest.approx(3.39, abs=0.01)
    assert float(pace.speed_ms(-0.2126)) == pytest.approx(0.87, abs=0.01)
