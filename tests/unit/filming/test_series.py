"""The choice of days against trying every way."""

from collections.abc import Sequence
from itertools import pairwise, product

import numpy as np
import pytest

from hushwalk.filming.series import _choose

MOST, REST = 3, 3
COST = (0.3, 0.15)


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


Chosen = Sequence[tuple[int, int] | None]


def value_of(chosen: Chosen, values: np.ndarray, cost: tuple[float, float]) -> float:
    return sum(values[one[0]][day][one[1]] - cost[one[1]] for day, one in enumerate(chosen) if one is not None)


def sleeps(chosen: Chosen) -> bool:
    """No morning after an evening."""
    return not any(one and other and one[1] == 1 and other[1] == 0 for one, other in pairwise(chosen))


def keeps_both(chosen: Chosen) -> bool:
    logs = [None if one is None else one[0] for one in chosen]
    return sleeps(chosen) and all(keeps_the_rule([one == k for one in logs]) for k in range(2))


def mornings(*rows: list[float]) -> list[list[tuple[float, float]]]:
    return [[(one, 0.0) for one in row] for row in rows]


@pytest.mark.parametrize("seed", range(6))
def test_no_other_way_to_sit_at_two_logs_morning_or_evening_gives_more(seed: int) -> None:
    values = np.random.default_rng(seed).uniform(0, 1, (2, 6, 2))
    got = _choose(values.tolist(), COST)
    assert keeps_both(got)
    ways = product((None, (0, 0), (0, 1), (1, 0), (1, 1)), repeat=6)
    best = max(value_of(way, values, COST) for way in ways if keeps_both(way))
    assert value_of(got, values, COST) == pytest.approx(best)


def test_one_log_rests_while_the_other_is_sat_at() -> None:
    got = _choose(mornings([1.0] * 8, [0.9] * 8), COST)
    assert None not in got
    assert sum(one != other for one, other in pairwise(got)) >= 1


def test_poor_days_are_slept_through_and_nothing_is_sat_where_nothing_is_worth() -> None:
    assert _choose(mornings([1.0, 0.1, 1.0]), COST) == [(0, 0), None, (0, 0)]
    assert _choose(mornings([0.0, 0.0]), (0.0, 0.0)) == [None, None]


def test_a_fine_evening_stands_in_for_a_wet_morning() -> None:
    """The second morning rains; its evening is sat only where the next morning, which it costs, is worth less."""
    assert _choose([[(1.0, 0.5), (0.0, 0.6), (0.2, 0.1)]], COST) == [(0, 0), (0, 1), None]
    assert _choose([[(1.0, 0.5), (0.0, 0.6), (1.0, 0.1)]], COST) == [(0, 0), None, (0, 0)]


def test_a_week_of_wet_mornings_is_filmed_in_the_evenings() -> None:
    got = _choose([[(0.1, 0.4)] * 4], COST)
    assert [one for one in got if one] == [(0, 1)] * MOST
