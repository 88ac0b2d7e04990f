from collections.abc import Callable
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.filming.sky_day import SUN, SkyDay, shade, sky_day, spells
from hushwalk.filming.skyline import Skyline
from hushwalk.science.moon import moon_altitude_deg, moon_azimuth_deg, moon_lit_fraction
from hushwalk.science.sun import CIVIL_DEG, NAUTICAL_DEG, SUNRISE_DEG, sun_altitude_deg, sun_azimuth_deg, sun_events

CHICAGO, FAIRBANKS = ZoneInfo("America/Chicago"), ZoneInfo("America/Anchorage")


def test_every_minute_agrees_with_the_ephemeris(april: SkyDay) -> None:
    minutes = np.arange(0, 1440, 7)
    times = np.datetime64("2027-04-25T05:00") + minutes * np.timedelta64(1, "m")
    place = (-91.7, 47.6)
    assert april.sun_altitude_deg[minutes] == pytest.approx(sun_altitude_deg(times, *place), abs=1e-4)
    assert april.sun_azimuth_deg[minutes] == pytest.approx(sun_azimuth_deg(times, *place), abs=2e-3)
    assert april.moon_altitude_deg[minutes] == pytest.approx(moon_altitude_deg(times, *place), abs=1e-3)
    assert april.moon_azimuth_deg[minutes] == pytest.approx(moon_azimuth_deg(times, *place), abs=5e-3)
    assert april.moon_lit[minutes] == pytest.approx(moon_lit_fraction(times), abs=1e-4)


@pytest.mark.parametrize(
    ("lon", "lat", "zone"), [(-91.7, 47.6, CHICAGO), (-147.72, 64.84, FAIRBANKS), (25.0, -33.0, UTC)]
)
def test_events_agree_with_the_halving_of_the_ephemeris(lon: float, lat: float, zone: ZoneInfo) -> None:
    for day in (date(2026, 4, 25), date(2026, 5, 30), date(2026, 7, 15), date(2026, 12, 21)):
        sky = sky_day(day, zone, lon, lat)
        for got, altitude, rising in (
            (sky.sunrises, SUNRISE_DEG, True),
            (sky.sunsets, SUNRISE_DEG, False),
            (sky.civil_dawns, CIVIL_DEG, True),
            (sky.nautical_dusks, NAUTICAL_DEG, False),
        ):
            want = sun_events(day, zone, lon, lat, altitude, rising=rising)
            assert len(got) == len(want)
            for mine, theirs in zip(got, want, strict=True):
                assert abs((sky.at(mine) - theirs).total_seconds()) <= 2


def test_days_with_no_sunset_and_with_two_near_the_polar_circle() -> None:
    """Fairbanks: 30 May 2026 has no sunset inside the civil day, 15 July 2026 has two."""
    assert sky_day(date(2026, 5, 30), FAIRBANKS, -147.72, 64.84).sunsets == ()
    assert len(sky_day(date(2026, 7, 15), FAIRBANKS, -147.72, 64.84).sunsets) == 2


def test_a_day_has_the_minutes_that_the_clocks_give_it() -> None:
    spring = sky_day(date(2027, 3, 14), CHICAGO, -91.7, 47.6)
    assert spring.n_minutes == 23 * 60
    assert spring.at(120) == datetime(2027, 3, 14, 3, 0, tzinfo=CHICAGO)
    assert sky_day(date(2027, 11, 7), CHICAGO, -91.7, 47.6).n_minutes == 25 * 60


def test_a_level_horizon_gives_sun_from_sunrise_to_sunset(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    states = shade(april, skyline())
    lit = np.flatnonzero(states == SUN)
    assert abs(lit[0] - april.sunrises[0]) <= 1
    assert abs(lit[-1] + 1 - april.sunsets[0]) <= 1


def test_a_ridge_of_five_degrees_by_hand(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    """The upper limb stands 5 deg up when the centre is airless at 5 - 16' - 9.7' of refraction (Allen: 9.9')."""
    states = shade(april, skyline(ridge_deg=5.0))
    first = np.flatnonzero(states == SUN)[0]
    assert april.sun_altitude_deg[first] == pytest.approx(5 - 16 / 60 - 9.9 / 60, abs=0.17)  # a minute is 0.16 deg
    assert [s.state for s in spells(states)] == ["sun down", "ridge shade", "sun", "ridge shade", "sun down"]


def test_trees_above_a_ridge_are_told_apart(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    states = shade(april, skyline(ridge_deg=3.0, trees_deg=15.0))
    order = [s.state for s in spells(states)]
    assert order[:4] == ["sun down", "ridge shade", "tree shade", "sun"]
    assert sum(s.end_min - s.start_min for s in spells(states)) == april.n_minutes


def test_a_deep_gorge_never_sees_the_sun(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    assert not np.any(shade(april, skyline(ridge_deg=80.0)) == SUN)
