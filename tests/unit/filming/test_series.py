"""The choice of days against trying every way."""

from itertools import pairwise, product

import numpy as np
import pytest

from hushwalk.filming.series import _choose

MOST, REST = 3, 3


def keeps_the_rule(days: list[bool]) -> bool:
    """At most three sittings between two rests of three whole days."""
    times = rested = 0
    for sat in days:
        if sat:
            times, rested = times + 1, 0
        else:
            rested += 1
            times = 0 if rested >= REST else times
        if times > MOST:
            return False
    return True


def value_of(chosen: list[int | None], values: np.ndarray, cost: float) -> float:
    return sum(values[k][day] - cost for day, k in enumerate(chosen) if k is not None)


@pytest.mark.parametrize("seed", range(6))
def test_no_other_way_to_sit_at_two_logs_gives_more(seed: int) -> None:
    values = np.random.default_rng(seed).uniform(0, 1, (2, 8))
    got = _choose(values.tolist(), 0.3)
    assert all(keeps_the_rule([one == k for one in got]) for k in range(2))
    best = max(
        value_of(list(ways), values, 0.3)
        for ways in product((None, 0, 1), repeat=8)
        if all(keeps_the_rule([one == k for one in ways]) for k in range(2))
    )
    assert value_of(got, values, 0.3) == pytest.approx(best)


def test_one_log_rests_while_the_other_is_sat_at() -> None:
    got = _choose([[1.0] * 8, [0.9] * 8], 0.3)
    assert None not in got
    assert sum(one != other for one, other in pairwise(got)) >= 1


def test_poor_days_are_slept_through_and_nothing_is_sat_where_nothing_is_worth() -> None:
    assert _choose([[1.0, 0.1, 1.0]], 0.3) == [0, None, 0]
    assert _choose([[0.0, 0.0]], 0.0) == [None, None]
