"""The moon in numbers and in words."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from hushwalk.science.moon import moon_altitude_deg, moon_lit_fraction, moon_words
from hushwalk.science.sky_light import light_table, moon_lux, sun_lux
from hushwalk.science.sun import sun_altitude_deg

PLACE = (-92.10, 46.79)


def test_words_by_the_light_it_gives() -> None:
    bright = moon_words(datetime(2026, 11, 25, 11, tzinfo=UTC), *PLACE)
    assert "follow a trail" in bright
    assert "west" in bright
    down = moon_words(datetime(2026, 4, 25, 10, 30, tzinfo=UTC), *PLACE)
    assert down.startswith("moon down")
    thin = moon_words(datetime(2027, 5, 2, 10, 30, tzinfo=UTC), *PLACE)
    assert "no help to the feet" in thin


def test_the_words_shapes_only_are_said_at_some_half_moon() -> None:
    hours = [datetime(2026, 4, 24, tzinfo=UTC) + timedelta(hours=k) for k in range(30)]
    assert any("shapes only" in moon_words(h, *PLACE) for h in hours)


def test_the_lit_share_runs_through_a_month() -> None:
    days = [datetime(2026, 4, 17, tzinfo=UTC) + timedelta(days=k) for k in range(30)]
    lit = moon_lit_fraction(days)
    assert lit.min() < 0.01
    assert lit.max() > 0.99
    assert moon_lit_fraction(days[0]).shape == ()


def sky_lux(times: list[datetime]) -> np.ndarray:
    """Light of sun, moon and stars on open level ground under a clear sky [lux]."""
    moon = moon_lux(moon_altitude_deg(times, *PLACE), moon_lit_fraction(times))
    return sun_lux(sun_altitude_deg(times, *PLACE)) + moon + light_table()["night"]["floor_lux"]


def test_the_sky_is_never_darker_than_the_night_and_brightens_to_sunrise() -> None:
    times = [datetime(2026, 4, 25, 9, tzinfo=UTC) + timedelta(minutes=k) for k in range(0, 180, 5)]
    lux = sky_lux(times)
    assert lux[0] >= 0.002
    assert (np.diff(lux[moon_altitude_deg(times, *PLACE) < -1]) >= -1e-3).all()
    assert lux[-1] > 300
    assert lux[-1] / lux[0] > 1e4


def test_half_an_hour_before_sunrise_there_are_about_six_lux() -> None:
    """Worked by hand from Circular 171 for -5.54 degrees: 10^(2.70 - 0.749 - 1.635 + 0.443) = 5.7."""
    assert float(sky_lux([datetime(2026, 4, 25, 10, 33, tzinfo=UTC)])[0]) == pytest.approx(5.6, rel=0.05)
