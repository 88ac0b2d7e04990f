import tomllib
from dataclasses import replace
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from scipy.linalg import expm

from hushwalk.errors import SettingsError
from hushwalk.hearing.availability import (
    Display,
    Weather,
    availability,
    display_from_card,
    hour_factor,
    peak_day,
    season_factor,
    weather_factor,
)

GEORGIA = {"latitude_deg": 34.7, "elevation_m": 600.0}


def test_the_three_parts_multiply(display: Display) -> None:
    found = availability(display, [0.0, 120.0], 240.0, day_of_year=109, **GEORGIA)
    assert found.participation == pytest.approx(0.6)
    assert found.hour_factor == pytest.approx([0.85, 0.55])
    # 1 - pi exp((Q - Phi) 4) 1 with Q of bouts of 35 min, 0.64 of the time, and Phi = 0.2578, by scipy.linalg.expm
    out, back = 1 / 35, 0.64 / (35 * 0.36)
    silent = np.array([0.64, 0.36]) @ expm(4 * np.array([[-out - 0.2578, out], [back, -back]])) @ np.ones(2)
    assert found.cue == pytest.approx([1 - silent] * 2)
    assert found.cue[0] < 0.64 * (1 - np.exp(-0.2578 * 4)) + 0.04  # hardly more than where no bout begins meanwhile
    assert found.chance == pytest.approx(0.6 * np.array([0.85, 0.55]) * (1 - silent))


def test_without_pauses_displays_come_at_random_times(display: Display) -> None:
    found = availability(replace(display, bout_share=1.0), 0.0, 240.0, day_of_year=109, **GEORGIA)
    assert float(found.cue) == pytest.approx(0.6435, abs=1e-4)


def test_long_stands_saturate_at_the_males_in_a_bout(display: Display) -> None:
    cue = [
        float(availability(display, 0.0, 60.0 * minutes, day_of_year=109, **GEORGIA).cue) for minutes in (3, 8, 12, 30)
    ]
    assert cue == sorted(cue)
    # a minute more of the first eight adds more than one of the next four, and those more than one of the next 18
    assert np.all(np.diff(np.diff(cue) / [5, 4, 18]) < 0)
    assert cue[1] < 0.64 * 1.02  # a stand of 8 min hears hardly more than the males in a bout as it begins
    assert cue[3] < 1 - 0.36 * np.exp(-30 * 0.64 / (35 * 0.36))  # nobody is heard before his pause ends


def test_nothing_falls_into_no_time(display: Display) -> None:
    assert float(availability(display, 0.0, 0.0, day_of_year=109, **GEORGIA).chance) == 0


@pytest.mark.parametrize(("off", "share"), [(0, 1), (7, 0.95), (14, 0.80), (21, 0.61), (28, 0.41), (42, 0.14)])
def test_the_season_by_days_off_the_peak(display: Display, off: int, share: float) -> None:
    assert season_factor(display, 109 + off, 34.7, 600.0) == pytest.approx(share, abs=0.006)


@pytest.mark.parametrize(("off", "share"), [(5.5, 0.88), (11, 0.61), (17, 0.30), (22, 0.14)])
def test_the_season_rises_in_half_the_time(display: Display, off: float, share: float) -> None:
    # exp(-(off / 11)^2 / 2), worked out by hand
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
    assert hot.participation == pytest.approx(4.5 / 5.5)  # odds of 1.5 times 3


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
        {"rise_sd_days": 0.0},
        {"bout_share": 0.0},
        {"bout_min": 0.0},
        {"hour_factor": display.hour_factor[:-1]},
        {"hour_factor": (2.0, *display.hour_factor[1:])},
        {"participation": 0.9},
    ):
        with pytest.raises(SettingsError):
            replace(display, **fault)  # type: ignore[arg-type]


def test_a_card_that_lacks_a_part_says_which(card: dict[str, Any]) -> None:
    for table in ("season", "bouts", "hours", "morning", "weather"):
        broken = {**card, "display": {k: v for k, v in card["display"].items() if k != table}}
        with pytest.raises(SettingsError, match=table):
            display_from_card(broken)
    with pytest.raises(SettingsError, match="sunset"):
        display_from_card({**card, "display": {**card["display"], "anchor": "sunset"}})


def test_after_the_middle_of_the_day_the_curve_of_the_evening_joins_in(display: Display) -> None:
    both = replace(display, minutes_from_sunset=(-120.0, -60.0, 0.0), evening_factor=(0.3, 0.4, 0.2))
    day_min = 840.0  # the card's own points: an hour before sunset, at it, and dawn as it was
    assert hour_factor(both, [780.0, 840.0, -60.0, 0.0], day_min) == pytest.approx([0.4, 0.2, 1.0, 0.85])
    assert hour_factor(both, 450.0, day_min) == pytest.approx(0.3)  # the larger of 0.15 and the level before -120
    bare = replace(display, minutes_from_sunset=(), evening_factor=())
    assert hour_factor(bare, 780.0, day_min) == hour_factor(both, 780.0) == pytest.approx(0.15)
    evening = availability(both, 780.0, 240.0, day_of_year=109, day_min=day_min, **GEORGIA)
    dawn = availability(both, -60.0, 240.0, day_of_year=109, day_min=day_min, **GEORGIA)
    assert float(evening.chance) == pytest.approx(0.4 * float(dawn.chance))
    with pytest.raises(SettingsError, match="evening: minutes_from_sunset"):
        replace(both, evening_factor=(0.3,))


@pytest.mark.parametrize("name", ["ruffed_grouse", "american_woodcock", "black_grouse", "hazel_grouse", "sooty_grouse"])
def test_every_card_tells_of_evenings_and_no_morning_is_changed_by_them(name: str) -> None:
    card = tomllib.loads((files("hushwalk") / "data" / "species" / f"{name}.toml").read_text(encoding="utf-8"))
    told = display_from_card(card)
    assert told.minutes_from_sunset
    minutes = np.arange(-300.0, 300.0, 5.0)
    bare = np.interp(minutes, told.minutes_from_sunrise, told.hour_factor)
    assert hour_factor(told, minutes, 720.0) == pytest.approx(bare)
