"""Days of the ephemeris, and places that are none."""

from datetime import UTC, datetime, timedelta, timezone

import ephem
import numpy as np
import pytest

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.science.sky import days_since_1899, horizontal_deg


def test_days_are_those_of_the_ephemeris() -> None:
    when = datetime(2026, 4, 25, 10, 30, tzinfo=UTC)
    assert float(days_since_1899(when)) == pytest.approx(float(ephem.Date("2026/4/25 10:30:00")), abs=1e-9)


def test_every_kind_of_time_gives_the_same_days() -> None:
    utc = datetime(2026, 4, 25, 10, 30, 0, 250_000, tzinfo=UTC)
    local = utc.astimezone(timezone(timedelta(hours=-5)))
    numpy_time = np.array([["2026-04-25T10:30:00.250"]], dtype="datetime64[ms]")
    assert days_since_1899(utc) == days_since_1899(local)
    assert days_since_1899([utc, local]).tolist() == [float(days_since_1899(utc))] * 2
    assert days_since_1899(numpy_time).shape == (1, 1)
    assert days_since_1899(numpy_time)[0, 0] == pytest.approx(float(days_since_1899(utc)), abs=1e-11)


def test_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(SettingsError, match="no time zone"):
        days_since_1899([datetime(2026, 4, 25, 10)])  # noqa: DTZ001


def test_swapped_axes_are_refused() -> None:
    with pytest.raises(PlaceError, match="longitude first"):
        horizontal_deg(ephem.Sun(), np.array([46000.0]), 46.79, -92.1)
