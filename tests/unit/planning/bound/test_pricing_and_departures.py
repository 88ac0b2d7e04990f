"""Backward labels against the recursion written out: pricing arrives from leaving, departures leave from arriving."""

import numpy as np
import pytest

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, Prices, home, step_to
from hushwalk.planning.bound.domain import SLIGHT, full_domain, legs_of
from hushwalk.planning.bound.pricing import fill_backward_labels

from .conftest import FREE, Small

CRITICAL = [np.zeros(0, np.int64), np.array([2]), np.array([1, 4])]


def labels_of(small: Small, critical: np.ndarray, prices: Prices = FREE):
    domain = full_domain(small.tables, small.relaxation)
    legs, top = legs_of(small.tables, small.relaxation, small.point, domain, 0, 0)
    args = (small.tables, small.relaxation, small.point, prices, legs, top, domain, 0, critical)
    return fill_backward_labels(*args), legs


@pytest.mark.parametrize("critical", CRITICAL, ids=len)
def test_arriving_is_the_best_of_waiting_and_of_each_dwell(small: Small, critical: np.ndarray) -> None:
    labels, legs = labels_of(small, critical, Prices(0.01, 0.2, 0.0, 0.0))
    dwell, factor = small.relaxation.dwell, small.relaxation.factor
    checked = 0
    for visited in range(1 << critical.size):
        for j in range(1, 5):
            if visited & labels.bit[j]:
                continue
            then = visited | labels.bit[j]
            for s in range(SCALES):
                price, value = labels.top[j] * s / (SCALES - 1), NEVER
                for tick in range(legs.closes[j], legs.opens[j] - 1, -1):
                    for w in range(2):
                        if tick + dwell[w] <= legs.closes[j]:
                            stop = small.gain(j, w, tick) - 0.2 - price * factor[w, tick]
                            value = max(value, stop + labels.leave[then, j, w, tick + dwell[w]])
                    assert labels.arrive[visited, j, s, tick] == pytest.approx(value)
                    checked += value > NEVER / 2
    assert checked > 50


@pytest.mark.parametrize("critical", CRITICAL, ids=len)
def test_leaving_is_the_best_of_home_and_of_every_post(small: Small, critical: np.ndarray) -> None:
    prices = Prices(0.01, 0.2, 0.03, 0.0)
    labels, legs = labels_of(small, critical, prices)
    dwell, checked = small.relaxation.dwell, 0
    overlap = np.where(small.point.overlap > SLIGHT * small.point.gain.max(), small.point.overlap, 0.0)
    for visited in range(1 << critical.size):
        for i in range(1, 5):
            if visited & labels.bit[i] != labels.bit[i]:
                continue
            for w in range(2):
                for tick in range(legs.opens[i] + dwell[w], legs.closes[i] + 1):
                    values = {5: home(small.tables, small.relaxation, prices, i, tick)}
                    for j in {1, 2, 3, 4} - {i}:
                        there = tick + small.leg(i, j, tick)
                        if visited & labels.bit[j] or there >= small.relaxation.ticks:
                            continue
                        price = overlap[i, j] * small.relaxation.factor[w, tick - dwell[w]]
                        values[j] = step_to(labels, visited, j, there, price, i) - prices.walk * (there - tick)
                    assert labels.leave[visited, i, w, tick] == pytest.approx(max(values.values()))
                    checked += 1
    assert checked > 20


def test_a_relaxed_walk_from_home_is_the_best_of_all(apart: Small) -> None:
    labels, _ = labels_of(apart, np.zeros(0, np.int64))
    best = max(apart.relaxed(stops) for stops in apart.walks() if stops)
    first = max(
        float(labels.arrive[0, j, 0, t + apart.leg(0, j, t)])
        for t in range(apart.relaxation.ticks)
        for j in range(1, 5)
        if t + apart.leg(0, j, t) < apart.relaxation.ticks
    )
    assert first == pytest.approx(best)
