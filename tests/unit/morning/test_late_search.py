"""The search of a played day: Koopman's best effort on a normal ground, and the walk between grounds."""

from dataclasses import replace

import numpy as np
import pytest

from hushwalk.morning.day.late_search import LateSearch, found_chances

NO_WALK = LateSearch(60.0, (0.0, 0.0), (0.0, 0.0), 0.8, 3.0, 0.0, 1.0)
"""An hour at the car, 3 m2 swept a second, no time at logs."""


def search(how: LateSearch, places: list[tuple[float, float]], sizes: list[float]) -> np.ndarray:
    return found_chances(how, np.array([0, len(sizes)]), np.array(places, float).reshape(-1, 2), np.array(sizes, float))


def test_one_ground_gets_all_the_effort() -> None:
    # Koopman: P = 1 - (1 + u) exp(-u), u = sqrt(E / (pi s1 s2)); E = 3600 s x 3 m2/s, u = 2
    assert search(NO_WALK, [(0, 0)], [2700.0])[0] == pytest.approx(1 - 3 * np.exp(-2), abs=1e-6)


def test_a_numerical_search_over_the_same_ground_finds_as_much() -> None:
    size, effort = 2700.0, 10_800.0
    sd = np.sqrt(size / np.pi)
    r = np.linspace(0, 6 * sd, 20_001)
    ring = 2 * np.pi * r * (r[1] - r[0])
    chance = np.exp(-(r**2) / (2 * sd**2)) / (2 * np.pi * sd**2)
    reach = sd * np.sqrt(2 * np.sqrt(effort / size))  # beyond it no effort is spent
    depth = np.maximum(reach**2 - r**2, 0) / (2 * sd**2)
    assert (depth * ring).sum() == pytest.approx(effort, rel=1e-3)
    assert search(NO_WALK, [(0, 0)], [size])[0] == pytest.approx((chance * (1 - np.exp(-depth)) * ring).sum(), abs=1e-3)


def test_a_bird_that_was_not_heard_is_not_found() -> None:
    assert search(NO_WALK, [(0, 0), (0, 0)], [np.inf, 2700.0])[0] == 0.0


def test_a_ground_that_holds_no_log_for_sure_lowers_the_chance() -> None:
    whole, doubtful = search(NO_WALK, [(0, 0)], [2700.0])[0], search(replace(NO_WALK, held=0.5), [(0, 0)], [2700.0])[0]
    assert doubtful == pytest.approx(0.5 * whole)


def test_birds_of_one_hollow_are_worth_more_than_the_same_birds_far_apart() -> None:
    how = replace(NO_WALK, minutes=180.0)
    near = search(how, [(1000, 0), (1050, 60), (980, 90)], [3000.0] * 3).sum()
    apart = search(how, [(1000, 0), (-1000, 0), (0, 1200)], [3000.0] * 3).sum()
    assert near > apart + 0.3


def test_what_is_found_saturates_with_the_birds_heard() -> None:
    how = replace(NO_WALK, minutes=180.0, minutes_at_log=10.0, held=0.85)
    places = [(900 * np.cos(a), 900 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 9)[:-1]]
    found = [search(how, places[:k], [6000.0] * k).sum() for k in (1, 2, 4, 8)]
    assert found[0] < found[1] < found[2]
    assert found[3] - found[2] < 0.5 * (found[2] - found[1])


def test_no_time_and_too_long_a_walk_find_nothing() -> None:
    assert search(replace(NO_WALK, minutes=0.0), [(0, 0)], [2700.0])[0] == 0.0
    assert search(NO_WALK, [(5000, 0)], [2700.0])[0] == 0.0


def test_each_day_is_searched_by_itself() -> None:
    both = found_chances(NO_WALK, np.array([0, 1, 1, 2]), np.zeros((2, 2)), np.full(2, 2700.0))
    assert both[0] == both[1] == pytest.approx(1 - 3 * np.exp(-2), abs=1e-6)
