"""From played mornings to grounds, logs and disturbance."""

from dataclasses import replace

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.day.day_walk import DayWalk
from hushwalk.morning.day.day_worth import (
    DayParams,
    distance_to_line,
    disturbed,
    found_shares,
    ground_sizes,
    heard_chances,
    others_heard,
    play_days,
    spread_of,
)
from hushwalk.morning.day.drawn_days import BirdGround, DayChanges, clustered, draw_days
from hushwalk.morning.day.late_search import LateSearch
from hushwalk.morning.day.played_morning import PlayedMornings
from hushwalk.science.bouts import Bouts

GRID = Grid(32615, 0.0, 2000.0, 50.0, 40, 40)
STOPS = np.array([[600.0, 1000.0], [1000.0, 1000.0], [1400.0, 1000.0]])


def walk(closing_in_min: float = 0.0) -> DayWalk:
    return DayWalk(
        depart_min=-60.0,
        stops_m=STOPS,
        column=np.arange(3),
        arrive_min=np.array([-45.0, -25.0, -5.0]),
        leave_min=np.array([-37.0, -17.0, 3.0]),
        stand_min=np.full(3, 8.0),
        walk_min=np.abs(np.subtract.outer(np.arange(4), np.arange(4))) * 12.0,
        promise_min=60.0 + closing_in_min,
        closing_in_min=closing_in_min,
        light_min=-np.inf,
        reserve=0.0,
        lines_m=(np.array([[0.0, 1000.0], [1400.0, 1000.0]]),),
    )


def drawn(days: int = 150):
    males = np.zeros(GRID.shape)
    males[14:26, 6:34] = 8.0 / (12 * 28)
    ground = BirdGround(GRID, males.ravel(), 0.6, -60, np.full(200, 0.8), Bouts(0.25, 35.0, 1.0))
    changes = DayChanges(np.full(days, 0.6), np.zeros(days, np.int64), np.zeros(days))
    return draw_days(ground, changes, clustered, 3, np.random.default_rng(11))


HEARD = np.full((1, 3, GRID.n_cells), 0.7)
SEARCH = LateSearch(180.0, (0.0, 1000.0), (0.0, 1000.0), 0.8, 3.1, 10.0, 0.85)
PARAMS = DayParams(np.full(200, 0.8), 12.0, SEARCH)


def played_of(heard: list[list[bool]], closed_in: list[bool], tried: list[bool] | None = None) -> PlayedMornings:
    return PlayedMornings(
        np.array(heard), np.array(closed_in if tried is None else tried), np.array(closed_in), np.zeros(1), np.zeros(1)
    )


def one_bird(xy: tuple[float, float]):
    return replace(drawn(1), first=np.array([0, 1]), xy_m=np.array([xy]), luck=np.full((1, 5), 0.5))


def test_the_size_of_a_ground_is_that_of_its_covariance() -> None:
    place = np.array([1000.0, 1200.0])
    size = ground_sizes(one_bird((1000.0, 1200.0)), walk(), played_of([[True, True, False]], [False]), 12.0)
    precision = np.eye(2) / day_figure("placing", "cover_sd_m") ** 2
    for stop in STOPS[:2]:
        away = place - stop
        metres = np.hypot(*away)
        ahead, side = away / metres, np.array([-away[1], away[0]]) / metres
        precision += np.outer(side, side) / (metres * np.radians(12.0)) ** 2
        precision += np.outer(ahead, ahead) / (metres * 0.6) ** 2
    wanted = np.pi * np.sqrt(np.linalg.det(np.linalg.inv(precision)))
    assert size[0] == pytest.approx(wanted)


def test_what_places_a_bird_better_makes_his_ground_smaller() -> None:
    bird = one_bird((1000.0, 1200.0))

    def size(heard: list[bool], closed_in: bool = False, tried: bool = False) -> float:
        played = played_of([heard], [closed_in], [tried or closed_in])
        return float(ground_sizes(bird, walk(), played, 12.0)[0])

    never, once, twice = size([False] * 3), size([True, False, False]), size([True, True, False])
    lost, reached = size([True, True, False], tried=True), size([True, True, False], closed_in=True)
    assert never == np.inf
    assert once > twice > lost > reached
    # closed in on 0.05 to 0.2 ha and crossed 0.5 to 7 ha, eight tenths of the chance each (docs/science/day.md)
    assert reached * -2 * np.log(0.2) < 1.1e4
    assert 0.3e4 < twice * -2 * np.log(0.2) < 7e4


def test_birds_heard_at_one_stop_are_mixed_up() -> None:
    two = replace(one_bird((1000.0, 1200.0)), first=np.array([0, 2]), xy_m=np.array([[1000.0, 1200.0]] * 2))
    together, alone = played_of([[True, True, False]] * 2, [False] * 2), [[True, False, False], [False, True, False]]
    assert others_heard(two, together).tolist() == [1.0, 1.0]
    assert others_heard(two, played_of(alone, [False] * 2)).tolist() == [0.0, 0.0]
    single = ground_sizes(one_bird((1000.0, 1200.0)), walk(), played_of([[True, True, False]], [False]), 12.0)
    both = ground_sizes(two, walk(), together, 12.0)
    assert both == pytest.approx(single[0] * (1 + day_figure("placing", "mixed")))


def test_closing_in_finds_more_logs_and_takes_longer() -> None:
    listening = play_days(drawn(), walk(), HEARD, PARAMS).chances
    closing = play_days(drawn(), walk(90.0), HEARD, PARAMS).chances
    assert listening.tried.mean == 0
    assert closing.closed_in.mean > 0.5
    assert closing.found.mean > listening.found.mean + 0.2
    assert closing.worth >= closing.found.mean


def test_chances_agree_with_each_other() -> None:
    played = play_days(drawn(400), walk(90.0), HEARD, PARAMS)
    chances = played.chances
    assert sum(chances.heard_chances) == pytest.approx(1.0)
    assert chances.log_chance == pytest.approx(1 - played.found_shares[0], abs=1e-6)
    assert chances.found.mean == pytest.approx(played.found_shares @ np.arange(len(played.found_shares)))
    assert chances.found.mean >= chances.log_chance
    assert chances.heard.mean == pytest.approx(played.heard.mean())
    assert chances.heard.low <= chances.heard.mean <= chances.heard.high


def test_the_same_days_give_the_same_figures() -> None:
    assert (
        play_days(drawn(), walk(60.0), HEARD, PARAMS).chances == play_days(drawn(), walk(60.0), HEARD, PARAMS).chances
    )


def test_who_sits_beside_the_way_is_disturbed() -> None:
    played = played_of([[False] * 3], [False])
    assert disturbed(one_bird((700.0, 1040.0)), walk(), played).tolist() == [True]
    assert disturbed(one_bird((700.0, 1060.0)), walk(), played).tolist() == [False]
    assert disturbed(one_bird((700.0, 1040.0)), replace(walk(), lines_m=()), played).tolist() == [False]


def test_distance_to_a_line_and_beyond_its_ends() -> None:
    line = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 0.0]])
    places = np.array([[5.0, 3.0], [13.0, 4.0], [-3.0, 0.0]])
    assert distance_to_line(places, line).tolist() == [3.0, 5.0, 3.0]


def test_shares_of_days_by_males_heard_and_what_lies_between() -> None:
    assert heard_chances(np.array([0, 0, 1, 2, 5, 3, 7, 1])) == (0.25, 0.25, 0.125, 0.375)
    spread = spread_of(np.arange(11.0))
    assert (spread.mean, spread.low, spread.high) == (5.0, 1.0, 9.0)


def test_logs_found_add_up_as_a_sum_of_independent_finds() -> None:
    """Two birds with 0.5 and 0.2 on one day, none on the other: 0.4, 0.5 and 0.1 for the first, by hand."""
    shares = found_shares(np.array([0, 0]), np.array([0.5, 0.2]), 2)
    assert shares == pytest.approx([(0.4 + 1) / 2, 0.25, 0.05])
