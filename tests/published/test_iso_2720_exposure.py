"""Exposure: constants of ISO 2720:1974 (second hand), published conversions, the ANSI PH2.7 exposure guide."""

import numpy as np
import pytest

from hushwalk.science.exposure import (
    iso_needed,
    sky_share,
    snow_gain,
)
from hushwalk.science.sky_light import sun_lux

LUX_OF_EV = {-4: 0.156, 0: 2.5, 4: 40, 8: 640, 10: 2560, 12: 10_240, 15: 81_920}


@pytest.mark.parametrize(("value", "lux"), LUX_OF_EV.items())
def test_lux_of_exposure_values(value: int, lux: float) -> None:
    """At ISO 100 an exposure value is log2(N^2 / t)."""
    assert float(iso_needed(lux, 1.0, 2.0**-value)) == pytest.approx(100, rel=0.003)


@pytest.mark.parametrize(("altitude", "value", "within"), [(60.0, 15.0, 0.5), (30.0, 14.2, 0.05)])
def test_full_sun_is_exposure_value_15(altitude: float, value: float, within: float) -> None:
    """ANSI PH2.7: typical full sun 15, valid from two hours after sunrise."""
    assert np.log2(100 / iso_needed(sun_lux(altitude), 1.0, 1.0)) == pytest.approx(value, abs=within)


def test_iso_and_light_are_two_sides_of_one_equation() -> None:
    """N^2 / t = E S / C: at EV 15 the rule f/16 at 1/ISO."""
    assert float(iso_needed(LUX_OF_EV[15], 16, 1 / 128)) == pytest.approx(100, rel=1e-9)
    assert float(iso_needed(250 * 16 * 50 / 6400, 4, 1 / 50)) == pytest.approx(6400)
    assert float(iso_needed(0.0, 4, 1 / 50)) == np.inf


def test_the_worked_dawn_of_25_april() -> None:
    """Clear light under leafless aspen by sun altitude, with the ISO of f/4 1/50 s (derived from the same sources)."""
    for altitude, lux, iso in ((-5.55, 3.1, 64_400), (-4.0, 16, 12_200), (-3.22, 35, 5640), (-0.83, 249, 802)):
        below = 0.55 * sun_lux(altitude)
        assert float(below) == pytest.approx(lux, rel=0.04)
        assert float(iso_needed(below, 4, 1 / 50)) == pytest.approx(iso, rel=0.015)


def test_fresh_snow_under_overcast_gives_two_thirds_of_a_stop() -> None:
    assert np.log2(snow_gain(0.8, 0.55) / snow_gain(0.2, 0.55)) == pytest.approx(0.67, abs=0.01)


def test_shade_keeps_the_light_of_the_sky() -> None:
    assert float(sky_share(-3.0)) == pytest.approx(1.0)
    share = sky_share(np.linspace(0, 60, 61))
    assert np.all(np.diff(share) <= 0)
    # the form of the 1984 practice by hand at 30 degrees: sky 11.76, beam 127.5 exp(-0.42) / 2 klx
    assert share[30] == pytest.approx(11.76 / (11.76 + 127.5 * np.exp(-0.42) / 2), abs=1e-3)
