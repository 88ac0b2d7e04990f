import math

import numpy as np
import pytest
from scipy.stats import norm

from hushwalk.science.bouts import cue_chance
from hushwalk.science.detection import effective_radius_m, heard_chance


def test_heard_chance_is_the_normal_distribution() -> None:
    margins = np.array([[-12.0, -6.0, 0.0], [3.0, 6.0, 30.0]])
    assert heard_chance(margins, 6.0) == pytest.approx(norm.cdf(margins / 6))


def test_effective_radius_of_a_half_normal_table() -> None:
    # in closed form s sqrt(2), Buckland and others 2001
    far = np.arange(0, 3000.0, 5)
    assert effective_radius_m(far, np.exp(-(far**2) / (2 * 255.0**2))) == pytest.approx(255 * math.sqrt(2), rel=1e-3)


def test_three_stops_by_hand() -> None:
    # stops at 0, 300, 600 m on a line, a male at (250, 150): worked out by hand for s = 254.8, 5 min
    ranges = np.hypot(np.array([0, 300, 600]) - 250, 150)
    each = np.array([0.5196, 0.8249, 0.3274]) * cue_chance(0.2578, 5.0)
    assert np.exp(-(ranges**2) / (2 * 254.8**2)) == pytest.approx([0.5196, 0.8249, 0.3274], abs=5e-5)
    assert 1 - np.prod(1 - each) == pytest.approx(0.8086, abs=5e-5)
