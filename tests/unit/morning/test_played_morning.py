"""Mornings that are played: hearing, closing in, the promise."""

from dataclasses import replace

import numpy as np
import pytest

from hushwalk.morning.day.day_walk import DayWalk, with_planned_legs
from hushwalk.morning.day.drawn_days import DrawnDays
from hushwalk.morning.day.played_morning import audible_at, judged_m, play_mornings, spread_log

T = 300


def walk_of(closing_in_min: float = 0.0, promise_min: float = 200.0) -> DayWalk:
    stops = np.array([[100.0, 0.0], [400.0, 0.0], [700.0, 0.0]])
    ways = np.abs(np.subtract.outer([0, 1, 2, 3], [0, 1, 2, 3])) * 10.0
    return DayWalk(
        depart_min=0.0,
        stops_m=stops,
        column=np.arange(3),
        arrive_min=np.array([10.0, 30.0, 50.0]),
        leave_min=np.array([20.0, 40.0, 60.0]),
        stand_min=np.full(3, 10.0),
        walk_min=ways,
        promise_min=promise_min,
        closing_in_min=closing_in_min,
        light_min=-np.inf,
        reserve=0.0,
    )


def days_of(xy: list[list[float]], drums: np.ndarray | None = None, luck: float = 0.5) -> DrawnDays:
    n = len(xy)
    return DrawnDays(
        first=np.array([0, n]),
        xy_m=np.array(xy, float),
        cell=np.zeros(n, np.int64),
        first_min=0,
        drums=np.ones((n, T), bool) if drums is None else drums,
        loud=np.zeros(n),
        path=np.zeros((n, 3)),
        luck=np.full((n, 5), luck),
        level=np.zeros(1, np.int64),
        slower=np.zeros(1),
        leg_error=np.zeros((1, 4)),
    )


SURE = np.ones((1, 3, 1))
HOURS = np.ones(T)


def test_a_male_is_heard_where_he_is_loud_enough_and_drums_meanwhile() -> None:
    drums = np.zeros((2, T), bool)
    drums[0, 35] = drums[1, 25] = True  # at the second stop, and on the way to it
    played = play_mornings(days_of([[300.0, 0.0], [300.0, 50.0]], drums), walk_of(), SURE, HOURS)
    assert played.heard.tolist() == [[False, True, False], [False, False, False]]
    assert played.back_min.tolist() == [90.0]
    assert played.stood.tolist() == [3]


def test_loudness_is_shared_between_stops_and_chances_hold_on_average() -> None:
    rng, n = np.random.default_rng(2), 40_000
    many = replace(
        days_of([[0.0, 0.0]]),
        first=np.array([0, n]),
        xy_m=np.zeros((n, 2)),
        cell=np.zeros(n, np.int64),
        loud=rng.standard_normal(n),
        path=rng.standard_normal((n, 3)),
    )
    audible = audible_at(many, walk_of(), np.full((1, 3, 1), 0.3))
    assert audible.mean(axis=0) == pytest.approx([0.3] * 3, abs=0.01)
    assert audible.all(axis=1).mean() > 0.09  # by chance it would be 0.027


def test_nobody_is_closed_in_on_where_no_minutes_are_kept_for_it() -> None:
    played = play_mornings(days_of([[150.0, 30.0]]), walk_of(), SURE, HOURS)
    assert not played.tried.any()


def test_a_near_male_is_reached_and_it_takes_time() -> None:
    plain = play_mornings(days_of([[150.0, 30.0]]), walk_of(), SURE, HOURS)
    played = play_mornings(days_of([[150.0, 30.0]]), walk_of(60.0), SURE, HOURS)
    assert played.closed_in.tolist() == [True]  # all within 120 m of judged distance
    assert played.back_min[0] > plain.back_min[0] + 5


def test_a_male_heard_before_light_is_closed_in_on_from_a_later_stop() -> None:
    drums = np.zeros((1, T), bool)
    drums[0, 15] = True  # at the first stop only, in the dark
    bird = days_of([[350.0, 30.0]], drums)
    light = replace(walk_of(60.0), light_min=30.0)
    assert play_mornings(bird, light, SURE, HOURS).closed_in.tolist() == [True]
    assert not play_mornings(bird, replace(light, light_min=150.0), SURE, HOURS).tried.any()


def test_one_try_a_male() -> None:
    far = days_of([[400.0, 300.0]], luck=0.5)
    unlucky = replace(far, luck=np.array([[0.99, 0.5, 0.5, 0.5, 0.5]]))
    played = play_mornings(unlucky, walk_of(120.0, 400.0), SURE, HOURS)
    assert played.tried.tolist() == [True]
    assert not played.closed_in.any()
    once = play_mornings(unlucky, walk_of(0.0, 400.0), SURE, HOURS).back_min[0]
    assert played.back_min[0] - once <= 45.0 + 1e-9


def test_closing_in_keeps_the_promise_and_drops_stops_for_it() -> None:
    birds = [[120.0, 90.0], [130.0, -80.0], [60.0, 100.0], [420.0, 80.0], [700.0, 90.0]]
    played = play_mornings(days_of(birds), walk_of(120.0, 100.0), SURE, HOURS)
    assert played.back_min[0] <= 100.0
    assert play_mornings(days_of(birds), walk_of(0.0, 50.0), SURE, HOURS).stood.tolist() == [1]


def test_closing_in_fades_with_the_hour() -> None:
    late = replace(walk_of(60.0, 400.0), depart_min=150.0, arrive_min=np.array([160.0, 180, 200]))
    late = replace(late, leave_min=np.array([170.0, 190, 210]))
    fading = np.concatenate([np.ones(91), np.full(T - 91, 0.01)])
    assert play_mornings(days_of([[150.0, 30.0]]), late, SURE, HOURS).closed_in.all()
    assert not play_mornings(days_of([[150.0, 30.0]]), late, SURE, fading).closed_in.any()


def test_a_slow_walker_is_late() -> None:
    slow = replace(days_of([[0.0, 0.0]]), slower=np.array([1.0]))
    assert play_mornings(slow, walk_of(), SURE, HOURS).back_min[0] > 110.0


def test_distance_is_judged_without_bias_and_better_near() -> None:
    away = np.array([[50.0, 300.0]])
    assert judged_m(away, np.array([0.5])) == pytest.approx(away)
    assert spread_log(np.array([50.0, 300.0])).tolist() == [0.3, 0.6]


def test_planned_legs_replace_the_ways_from_each_place_to_the_next() -> None:
    table = with_planned_legs(np.zeros((3, 3)), [0.0, 10.0, 30.0], [5.0, 22.0, 60.0])
    assert table[0, 1] == 5.0
    assert table[1, 2] == 12.0
    assert table[2, 0] == 30.0
    assert table[1, 0] == 0.0
