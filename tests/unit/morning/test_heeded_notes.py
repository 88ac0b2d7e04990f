"""What is left to learn of a male, by hand."""

import numpy as np
import pytest

from hushwalk.morning.heeded_notes import left_to_learn

EARSHOT_M = 200.0
ALL_HA = np.pi * EARSHOT_M**2 / 1e4


def test_it_goes_from_nothing_to_all_on_the_scale_of_information() -> None:
    assert left_to_learn(0.5, EARSHOT_M) == 0.0
    assert left_to_learn(ALL_HA, EARSHOT_M) == pytest.approx(1.0)
    assert left_to_learn(np.sqrt(0.5 * ALL_HA), EARSHOT_M) == pytest.approx(0.5)


def test_it_grows_with_the_ground() -> None:
    parts = [left_to_learn(area_ha, EARSHOT_M) for area_ha in (0.0, 0.5, 1.0, 4.0, 12.0, 40.0)]
    assert parts == sorted(parts)
    assert parts[-1] == 1.0


def test_ears_that_reach_no_farther_than_a_searched_circle_leave_all_or_nothing() -> None:
    assert left_to_learn(0.4, 20.0) == 0.0
    assert left_to_learn(2.0, 20.0) == 1.0
