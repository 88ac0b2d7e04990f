from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.hearing.availability import (
    Display,
    Weather,
    availability,
    display_from_card,
    peak_day,
    season_factor,
    weather_factor,
)

GEORGIA = {"latitude_deg": 34.7, "elevation_m": 600.0}


def test_the_three_parts_multiply(display: Display) -> None:
    found = availability(display, [0.0, 120.0], 240.0, day_of_year=109, **GEORGIA)
    assert found.participation == pytest.approx(0.5)
    assert found.hour_factor == pytest.approx([1.0, 0.65])
    assert found.cue == pytest.approx([0.6435, 0.6435], abs=1e-4)
    assert found.chance == pytest.approx(0.5 * np.array([1.0, 0.65]) * 0.6435, abs=1e-4)


def test_nothing_falls_into_no_time(display: Display) -> None:
    assert float(availability(display, 0.0, 0.0, day_of_year=109, **GEORGIA).chance) == 0


@pytest.mark.parametrize(("off", "share"), [(0, 1), (7, 0.95), (14, 0.80), (21, 0.61), (28, 0.41), (42, 0.14)])
def test_the_season_by_days_off_the_peak(display: Display, off: int, share: float) -> None:
    assert season_factor(display, 109 + off, 34.7, 600.0) == pytest.approx(share, abs=0.006)
    assert season_factor(display, 109 - off, 34.7, 600.0) == pytest.approx(share, abs=0.006)


@pytest.mark.parametrize(("latitude", "elevation", "day"), [(44.2, 1600, 133.8), (51.0, 1400, 133.2)])
def test_the_peak_comes_later_north_and_high(display: Display, latitude: float, elevation: float, day: float) -> None:
    # worked out by hand: 109 + 0.5 (lat - 34.7) + 0.02 (elev - 600)
    assert peak_day(display, latitude, elevation) == pytest.approx(day, abs=0.06)


def test_weather_only_takes(display: Display) -> None:
    assert weather_factor(display, Weather()) == 1
    assert weather_factor(display, Weather(rain="steady", wind_ms=6, snow_cover_share=0.9)) == pytest.approx(
        0.2 * 0.7 * 0.5
    )


def test_warming_is_capped(display: Display) -> None:
    hot = availability(display, 0.0, 240.0, day_of_year=109, weather=Weather(warming_c=40.0), **GEORGIA)
    assert hot.participation == pytest.approx(0.75)  # odds of 1 times 3


@pytest.mark.parametrize("fault", [{"day_of_year": 0}, {"latitude_deg": 91.0}])
def test_a_date_or_place_that_cannot_be(display: Display, fault: dict[str, float]) -> None:
    with pytest.raises(SettingsError):
        availability(display, 0.0, 240.0, **{"day_of_year": 109, **GEORGIA, **fault})
    with pytest.raises(SettingsError, match="dwell_s"):
        availability(display, 0.0, -1.0, day_of_year=109, **GEORGIA)


def test_weather_that_cannot_be() -> None:
    with pytest.raises(SettingsError, match="rain"):
        Weather(rain="hail")  # type: ignore[arg-type]
    with pytest.raises(SettingsError, match="snow_cover_share"):
        Weather(snow_cover_share=2.0)


def test_a_display_that_cannot_be(display: Display) -> None:
    for fault in (
        {"rate_per_min": 0.0},
        {"hour_factor": display.hour_factor[:-1]},
        {"hour_factor": (2.0, *display.hour_factor[1:])},
        {"participation": 0.9},
    ):
        with pytest.raises(SettingsError):
            replace(display, **fault)  # type: ignore[arg-type]


def test_a_card_that_lacks_a_part_says_which(card: dict[str, Any]) -> None:
    for table in ("season", "hours", "morning", "weather"):
        broken = {**card, "display": {k: v for k, v in card["display"].items() if k != table}}
        with pytest.raises(SettingsError, match=table):
            display_from_card(broken)
    with pytest.raises(SettingsError, match="sunset"):
        display_from_card({**card, "display": {**card["display"], "anchor": "sunset"}})
