"""What differs from day to day in a rehearsal."""

import numpy as np
import pytest

from hushwalk.morning.day.day_figures import closing_in_curve, day_figure
from hushwalk.morning.day.expected_day import SLOWER, changes_of_days

LEVELS = np.array([0.5, 0.3, 0.2])


def test_years_differ_by_the_published_factor_and_weather_only_takes() -> None:
    changes = changes_of_days(0.4, LEVELS, 40_000, np.random.default_rng(1))
    low, high = np.quantile(changes.participation, (0.0, 1.0))
    worse = day_figure("weather", "worse_factor")
    assert high / low == pytest.approx(day_figure("year", "factor") / worse, rel=0.01)
    takes = 1 - day_figure("weather", "worse_chance") * (1 - worse)
    assert changes.participation.mean() == pytest.approx(0.4 * takes, rel=0.01)


def test_no_share_of_males_is_above_one() -> None:
    assert changes_of_days(0.9, LEVELS, 1000, np.random.default_rng(2)).participation.max() <= 0.95


def test_ears_and_walkers_differ() -> None:
    changes = changes_of_days(0.4, LEVELS, 40_000, np.random.default_rng(3))
    assert np.bincount(changes.level) / 40_000 == pytest.approx(LEVELS, abs=0.01)
    assert changes.slower.mean() == pytest.approx(SLOWER / 2, rel=0.02)


def test_chances_of_closing_in_fall_with_distance() -> None:
    metres, chance = closing_in_curve()
    assert (np.diff(metres) > 0).all()
    assert (np.diff(chance) <= 0).all()
    assert np.interp([60.0, 120.0, 150.0, 350.0], metres, chance).tolist() == [0.9, 0.9, 0.75, 0.4]
