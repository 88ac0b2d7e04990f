"""Figures of closing in against what is published of bearings, flushing and stalks."""

import math

import numpy as np
import pytest

from hushwalk.notes.figures import figure
from hushwalk.science.crossing import crossing_angle_deg


def test_one_stops_farther_off_than_birds_are_flushed() -> None:
    # North Dakota Game and Fish magazine, May 2022: the bird left its log at 50 to 60 yards; Thiel and others 2007,
    # J. Wildl. Manage. 71:1784-1792: nine in ten capercaillie flushed within 50 m
    assert figure("closing_in", "end_m") > 60 * 0.9144 > 50


def test_the_step_aside_leaves_a_standing_wave() -> None:
    # a quarter wave at 40 to 63 Hz is 2.1 to 1.3 m in air of 343 m/s
    quarter_m = [343 / (4 * hz) for hz in (40.0, 63.0)]
    assert quarter_m[1] < figure("closing_in", "step_aside_m") <= round(quarter_m[0], 1)


def test_going_in_off_the_line_makes_bearings_cross_within_the_useful_band() -> None:
    # Chu and others 1989: lines that cross within 20 degrees are of no use; common practice 45 to 110
    off = figure("closing_in", "off_line_deg")
    crossing = crossing_angle_deg(np.array([0.0, 90.0 - off]))
    assert crossing == pytest.approx(55.0)
    assert 45 <= crossing <= 110


def test_the_head_is_turned_as_far_as_tells_front_from_back() -> None:
    # Frontiers in Neuroscience 2023, 1027827: some 32 degrees give the full use of a turn
    assert figure("closing_in", "swing_low_deg") <= 32 <= figure("closing_in", "swing_high_deg")


def test_a_try_lasts_as_long_as_published_stalks() -> None:
    # 8 to 10 m are gained per display of 9.5 s; from 150 m to 65 m drum by drum at a display every four minutes that is
    # 9.4 displays or 38 minutes, and walked plainly to 80 m first 1.7 displays or 7 minutes
    slow = (150 - figure("closing_in", "end_m")) / 9 * 4
    quick = (80 - figure("closing_in", "end_m")) / 9 * 4
    assert quick < figure("closing_in", "try_min") < slow < figure("closing_in", "long_try_min")
    assert math.isclose(slow, 37.8, abs_tol=0.1)
