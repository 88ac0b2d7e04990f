"""Drawing days: how many males, how they lie to each other, and drums in bouts."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.day.drawn_days import BirdGround, DayChanges, clustered, draw_days, drums_in_bouts, scattered
from hushwalk.science.bouts import Bouts

DAYS = 400
BOUTS = Bouts(0.2578, 35.0, 1.0)


@pytest.fixture
def ground() -> BirdGround:
    grid = Grid(32615, 600_000.0, 5_250_000.0, 50.0, 60, 60)
    males = np.zeros(grid.shape)
    males[10:40, 20:50] = 0.02  # 900 cells, 18 males on 2.25 km2
    return BirdGround(grid, males.ravel(), 0.5, -60, np.full(120, 0.6), BOUTS)


@pytest.mark.parametrize("place", [scattered, clustered])
def test_as_many_males_display_as_live_there_times_the_share(ground: BirdGround, place) -> None:
    found = place(ground, np.full(DAYS, 0.5), np.random.default_rng(3))
    counts = np.array([len(own) for own in found])
    error = counts.std() / DAYS**0.5
    assert counts.mean() == pytest.approx(9.0, abs=max(4 * error, 0.5))
    assert all(ground.grid.contains(own).all() for own in found if len(own))


def test_males_in_groups_keep_apart_and_yet_lie_nearer_to_each_other_than_by_chance(ground: BirdGround) -> None:
    def nearest(found: list[np.ndarray]) -> np.ndarray:
        away = [np.hypot(*(own[:, None] - own[None]).transpose(2, 0, 1)) for own in found if len(own) > 1]
        return np.concatenate([np.where(np.eye(len(a), dtype=bool), np.inf, a).min(axis=1) for a in away])

    groups = nearest(clustered(ground, np.ones(100), np.random.default_rng(4)))
    alone = nearest(scattered(ground, np.ones(100), np.random.default_rng(4)))
    assert groups.min() >= day_figure("clusters", "apart_m")
    assert np.median(groups) < np.median(alone)


def test_numbers_differ_more_from_day_to_day_where_males_live_in_groups(ground: BirdGround) -> None:
    groups, alone = (
        np.array([len(own) for own in place(ground, np.ones(DAYS), np.random.default_rng(5))])
        for place in (clustered, scattered)
    )
    assert groups.var() / groups.mean() > 1.5 * alone.var() / alone.mean()


def test_no_male_lives_where_none_can() -> None:
    grid = Grid(32615, 0.0, 0.0, 50.0, 4, 4)
    nobody = BirdGround(grid, np.zeros(16), 0.5, 0, np.ones(5), BOUTS)
    for place in (scattered, clustered):
        assert [len(own) for own in place(nobody, np.full(3, 0.5), np.random.default_rng(1))] == [0, 0, 0]


def test_drums_are_as_frequent_as_the_activity_says_at_every_minute() -> None:
    activity = np.linspace(1.0, 0.3, 60)
    heard = drums_in_bouts(20_000, activity, BOUTS, np.random.default_rng(6))
    assert heard.mean(axis=0) == pytest.approx(activity * (1 - np.exp(-0.2578)), abs=0.015)


def test_a_male_that_drums_now_drums_again_soon_more_likely_than_in_an_hour() -> None:
    heard = drums_in_bouts(20_000, np.full(90, 0.5), BOUTS, np.random.default_rng(7))
    now = heard[:, 0]
    soon, later = heard[now, 5].mean(), heard[now, 80].mean()
    memory_min = 35.0 * 0.5  # bout (1 - share), as in science/bouts.py
    drum = 1 - np.exp(-0.2578)
    assert soon == pytest.approx(drum * (0.5 + 0.5 * np.exp(-5 / memory_min)), abs=0.02)
    assert later == pytest.approx(drum * 0.5, abs=0.02)


def test_drawn_days_repeat_and_hold_each_bird_in_its_cell(ground: BirdGround) -> None:
    changes = DayChanges(np.full(20, 0.5), np.zeros(20, np.int64), np.zeros(20))
    one, two = (draw_days(ground, changes, scattered, 4, np.random.default_rng(8)) for _ in range(2))
    assert np.array_equal(one.xy_m, two.xy_m)
    assert np.array_equal(one.drums, two.drums)
    assert one.days == 20
    assert np.bincount(one.day, minlength=20).tolist() == np.diff(one.first).tolist()
    rows, cols = ground.grid.rowcol(one.xy_m)
    assert np.array_equal(one.cell, rows * ground.grid.n_cols + cols)
    assert (ground.males[one.cell] > 0).all()
