"""Line of sight over made ground against the line through two points, by hand."""

from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.logs.log import HideGround, Log
from hushwalk.logs.sight_line import sight_line

MIDDLE = (597_700.0, 5_272_900.0)  # of the made country, whose cells of 10 m have a centre there
HIDE = (MIDDLE[0] - 40.0, MIDDLE[1])  # 40 m west of the log

HideGroundOf = Callable[[Callable[[np.ndarray, np.ndarray], np.ndarray]], HideGround]


def test_a_ridge_between_asks_for_the_lens_on_the_line_from_the_log_over_its_crest(hide_ground: HideGroundOf) -> None:
    """Crest of 1 m in the middle, top of the log at 0.4 m: the line through both is at 1.6 m above the hide."""
    ground = hide_ground(lambda e, _n: 400.0 + np.where(e == -20, 1.0, 0.0))
    got = sight_line(Log(MIDDLE, height_m=0.4, tripod_m={"W": 1.5}), ground.elevation, "W", HIDE)
    assert got.least_m == pytest.approx(2 * 1.0 - 0.4)
    assert got.hump_m == pytest.approx(20.0)
    assert got.hidden
    assert got.noted
    taller = Log(MIDDLE, height_m=0.4, tripod_m={"W": 1.7})
    assert not sight_line(taller, ground.elevation, "W", HIDE).hidden


def test_a_crest_nearer_to_the_log_asks_for_more(hide_ground: HideGroundOf) -> None:
    """Crest of 1 m at 30 of 40 m, top at 0.4 m: from the log the line rises 0.6 in 10 m, so 0.4 + 4 x 0.6."""
    ground = hide_ground(lambda e, _n: 400.0 + np.where(e == -10, 1.0, 0.0))
    got = sight_line(Log(MIDDLE, height_m=0.4), ground.elevation, "W", HIDE)
    assert got.least_m == pytest.approx(2.8)
    assert got.hump_m == pytest.approx(30.0)
    assert not got.noted


@pytest.mark.parametrize("rise", [0.0, 0.3, -0.3])
def test_an_even_slope_hides_nothing(hide_ground: HideGroundOf, rise: float) -> None:
    ground = hide_ground(lambda e, _n: 400.0 + rise * e)
    got = sight_line(Log(MIDDLE, height_m=0.4), ground.elevation, "W", HIDE)
    assert got.least_m == pytest.approx(0.0, abs=1e-9)
    assert not got.hidden


def test_unknown_heights_say_nothing(hide_ground: HideGroundOf) -> None:
    ground = hide_ground(lambda e, _n: np.where(e == -20, np.nan, 400.0))
    got = sight_line(Log(MIDDLE), ground.elevation, "W", HIDE)
    assert got.least_m is None
    assert not got.hidden
    far = sight_line(Log(MIDDLE), ground.elevation, "W", (MIDDLE[0] - 5000.0, MIDDLE[1]))
    assert far.least_m is None
