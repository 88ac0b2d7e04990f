"""Herzog 2020, Archaeological Spatial Analysis p. 340: time multipliers by ground (second hand), blacktop being 1."""

import pytest

from hushwalk.science.going import off_path_time_factors

OFF_PATH_BELOW_TREELINE = 2.00
PRINTED = {"shrub_swamp": 5.00, "rock": 2.50}  # "swamp or water course" and "rock"


@pytest.mark.parametrize(("ground", "printed"), PRINTED.items())
def test_hard_ground_takes_the_printed_time_over_that_of_woods(ground: str, printed: float) -> None:
    assert off_path_time_factors()[ground] == printed / OFF_PATH_BELOW_TREELINE
