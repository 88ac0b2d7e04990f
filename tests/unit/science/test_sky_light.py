"""Light by altitude."""

import numpy as np
import pytest

from hushwalk.science.sky_light import moon_lux, sun_lux


def test_more_altitude_is_more_light_and_the_pieces_join() -> None:
    altitude = np.arange(-18, 90.01, 0.01)
    lux = sun_lux(altitude)
    assert (lux[1:] / lux[:-1] > 0.98).all()  # the published pieces step by up to 1.1 %
    assert (lux[1:] / lux[:-1] < 1.12).all()


def test_far_below_the_horizon_there_is_none() -> None:
    assert sun_lux(-18.01) == 0
    assert moon_lux(-0.81, 1.0) == 0
    assert np.isnan(sun_lux(np.nan))


def test_a_new_moon_gives_next_to_nothing() -> None:
    assert moon_lux(45.0, 0.0) < 1e-3
    assert moon_lux(45.0, 0.0) == pytest.approx(
        moon_lux(45.0, 1.0) * 10 ** (-0.00868 * 180 - 2.2e-9 * 180**4), rel=1e-9
    )
