"""Events of the sun inside the civil day of a place."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.errors import PlaceError
from hushwalk.science.sun import (
    CIVIL_DEG,
    NAUTICAL_DEG,
    SUNRISE_DEG,
    morning_light,
    sun_altitude_deg,
    sun_azimuth_deg,
    sun_events,
)

FAIRBANKS = (ZoneInfo("America/Anchorage"), -147.72, 64.84)
DULUTH = (ZoneInfo("America/Chicago"), -92.10, 46.79)


def test_a_day_near_the_polar_circle_may_have_no_sunset_or_two() -> None:
    """Days found with skyfield on DE421: none on 30 May 2026, two on 15 July 2026."""
    assert sun_events(date(2026, 5, 30), *FAIRBANKS, rising=False) == ()
    two = sun_events(date(2026, 7, 15), *FAIRBANKS, rising=False)
    assert [t.date() for t in two] == [date(2026, 7, 15)] * 2
    assert two[1] - two[0] > timedelta(hours=23)


def test_where_the_sun_does_not_go_so_deep_there_is_no_dawn() -> None:
    light = morning_light(date(2026, 4, 25), *FAIRBANKS)
    assert light.nautical_dawn is None
    assert light.civil_dawn is not None
    summer = morning_light(date(2026, 6, 21), ZoneInfo("UTC"), 20.0, 78.0)
    assert (summer.nautical_dawn, summer.civil_dawn, summer.sunrise) == (None, None, None)


def test_events_lie_in_their_civil_day_and_on_their_altitude() -> None:
    for altitude in (SUNRISE_DEG, CIVIL_DEG, NAUTICAL_DEG):
        for rising in (True, False):
            for day in (date(2026, 3, 8), date(2026, 6, 21), date(2026, 11, 1), date(2026, 12, 31)):
                (when,) = sun_events(day, *DULUTH, altitude, rising=rising)
                assert when.date() == day
                assert when.tzinfo == DULUTH[0]
                around = sun_altitude_deg(
                    [when - timedelta(seconds=30), when, when + timedelta(seconds=30)], *DULUTH[1:]
                )
                assert around[1] == pytest.approx(altitude, abs=0.002)
                assert (np.diff(around) > 0).all() == rising


def test_a_sun_that_only_grazes_the_altitude_is_not_missed() -> None:
    """A threshold set just below the day's highest altitude is passed twice within a few minutes."""
    times = [datetime(2026, 6, 21, 5, tzinfo=UTC) + timedelta(seconds=20 * k) for k in range(4320)]
    top = sun_altitude_deg(times, *DULUTH[1:]).max()
    up = sun_events(date(2026, 6, 21), *DULUTH, top - 1e-4)
    down = sun_events(date(2026, 6, 21), *DULUTH, top - 1e-4, rising=False)
    assert len(up) == len(down) == 1
    assert timedelta(0) < down[0] - up[0] < timedelta(minutes=3)
    assert sun_events(date(2026, 6, 21), *DULUTH, top + 1e-3) == ()


def test_the_clock_change_shifts_the_clock_and_not_the_sun() -> None:
    (before,) = sun_events(date(2026, 3, 7), *DULUTH)
    (after,) = sun_events(date(2026, 3, 8), *DULUTH)
    assert abs(after - before - timedelta(days=1, minutes=58)) < timedelta(minutes=1)  # wall clock
    assert after.astimezone(UTC) - before.astimezone(UTC) < timedelta(days=1)


def test_the_order_of_a_morning() -> None:
    light = morning_light(date(2026, 4, 25), *DULUTH)
    assert light.nautical_dawn
    assert light.civil_dawn
    assert light.sunrise
    assert light.nautical_dawn < light.civil_dawn < light.sunrise


def test_positions_keep_the_shape_of_the_times() -> None:
    times = np.arange("2026-04-25T10", "2026-04-25T16", dtype="datetime64[h]").reshape(2, 3)
    assert sun_altitude_deg(times, -92.1, 46.79).shape == (2, 3)
    azimuth = sun_azimuth_deg(times, -92.1, 46.79)
    assert (np.diff(azimuth.ravel()) > 0).all()
    assert sun_altitude_deg(datetime(2026, 4, 25, tzinfo=UTC), -92.1, 46.79).shape == ()


def test_swapped_axes_are_refused() -> None:
    with pytest.raises(PlaceError, match="longitude first"):
        morning_light(date(2026, 4, 25), DULUTH[0], 46.79, -92.10)
