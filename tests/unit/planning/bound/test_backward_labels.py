"""How tables of what is still to come are read: home by its prices, between two overlap prices on the chord."""

import numpy as np
import pytest

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, Prices, home, new_backward_labels, step_to
from hushwalk.planning.bound.domain import full_domain

from .conftest import Small, make


def labels_of(small: Small, critical: list[int]):
    domain = full_domain(small.tables, small.relaxation)
    return new_backward_labels(small.relaxation, domain, np.full(5, 2.0), np.array(critical, np.int64))


def test_going_home_costs_its_ticks_and_metres_and_never_comes_too_late() -> None:
    small = make(2, length_m=np.full((5, 5), 100.0), max_length_m=1e6)
    leg = small.leg(3, 0, 4)
    value = home(small.tables, small.relaxation, Prices(0.5, 9.0, 0.25, 0.01), 3, 4)
    assert value == pytest.approx(-0.5 * (4 + leg) - 0.25 * leg - 1.0)
    assert home(small.tables, small.relaxation, Prices(0, 0, 0, 0), 3, 8) == NEVER


def test_new_tables_hold_nothing_and_mark_critical_posts(small: Small) -> None:
    labels = labels_of(small, [2, 4])
    assert labels.bit.tolist() == [0, 0, 1, 0, 2]
    assert labels.leave.shape == (4, 5, 2, 9)
    assert labels.arrive.shape[:3] == (4, 5, SCALES)
    assert labels.leave.max() == labels.arrive.max() == labels.arrive_else.max() == NEVER
    assert set(labels.after.ravel()) == {5}


def test_a_price_between_two_scales_is_read_on_the_chord(small: Small) -> None:
    labels = labels_of(small, [])
    labels.arrive[0, 3, :, 5] = [10.0, 7.0, 5.0, 4.0]
    prices = np.array([0.0, 2 / 3, 1.0, 4 / 3, 2.0, 9.0])
    assert [step_to(labels, 0, 3, 5, p, 1) for p in prices] == pytest.approx([10.0, 7.0, 6.0, 5.0, 4.0, 4.0])


def test_nobody_goes_straight_back_to_where_he_came_from(small: Small) -> None:
    labels = labels_of(small, [])
    labels.arrive[0, 3, 0, 5], labels.arrive_else[0, 3, 0, 5], labels.follow[0, 3, 0, 5] = 10.0, 6.0, 1
    assert step_to(labels, 0, 3, 5, 0.0, 1) == 6.0
    assert step_to(labels, 0, 3, 5, 0.0, 2) == 10.0
