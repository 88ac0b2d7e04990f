"""Herzog 2020, Archaeological Spatial Analysis p. 340: time multipliers by ground (second hand)."""

import pytest

from hushwalk.science.going import published_time_factors

PRINTED = {
    "blacktop": 1.00,
    "disturbed_ground": 1.24,
    "flat_trail_or_meadow": 1.25,
    "off_path": 1.67,
    "bog": 1.79,
    "off_path_below_treeline": 2.00,
    "rock": 2.50,
    "swamp_or_water_course": 5.00,
}


@pytest.mark.parametrize(("ground", "factor"), PRINTED.items())
def test_the_list(ground: str, factor: float) -> None:
    assert published_time_factors()[ground] == factor
