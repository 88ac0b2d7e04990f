"""The hours before sunset: clock, promise, weather by the hour, and what is refused."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from hushwalk.errors import SettingsError
from hushwalk.site.evening import EveningWalk, in_the_evening
from hushwalk.site.evening_settings import EveningSettings
from hushwalk.site.forecast import Forecast, ForecastHour, on_morning, write_forecast
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.settings import (
    LayerSettings,
    MorningSettings,
    PlaceSettings,
    TripSettings,
    WeatherSettings,
)

DAY = date(2026, 4, 25)
DULUTH = "46.79, -92.10"
TRIP = TripSettings(
    place=PlaceSettings("Invented ground", DULUTH),
    morning=MorningSettings(date=DAY, back_by=time(9, 30), time_zone="America/Chicago"),
    layers=(LayerSettings("elevation", "heights.tif"),),
    weather=WeatherSettings(temperature_c=1.0),
)


def clock_of(trip: TripSettings) -> Clock:
    return morning_clock(trip.morning, -92.10, 46.79)


def test_one_leaves_three_hours_before_sunset_and_is_back_by_the_end_of_civil_twilight() -> None:
    # Duluth, 25 April 2026: sunset 20:10:30, civil dusk 20:43:34 (skyfield with DE421)
    clock = clock_of(in_the_evening(TRIP))
    assert clock.at(clock.earliest_s).strftime("%H:%M") == "17:10"
    assert clock.at(clock.latest_s).strftime("%H:%M") == "20:43"
    assert clock.latest_s <= clock.civil_dusk_s
    later = clock_of(in_the_evening(replace(TRIP, evening=EveningSettings(after_dark=True))))
    assert later.latest_s - clock.latest_s == pytest.approx(3600)


def test_what_the_file_says_goes_before_and_nobody_is_back_after_dark_unasked() -> None:
    said = EveningSettings(back_by=time(20, 15), leave_not_before=time(18), air="calm dawn", temperature_c=6.0)
    evening = in_the_evening(replace(TRIP, evening=said))
    assert (evening.morning.back_by, evening.morning.leave_not_before) == (time(20, 15), time(18))
    assert (evening.weather.air, evening.weather.temperature_c) == ("calm dawn", 6.0)
    with pytest.raises(SettingsError, match=r"evening.back_by 21:30 lies after dark, which begins at 20:43"):
        in_the_evening(replace(TRIP, evening=EveningSettings(back_by=time(21, 30))))
    past_midnight = EveningSettings(back_by=time(0, 30), after_dark=True)
    clock = clock_of(in_the_evening(replace(TRIP, evening=past_midnight)))
    assert clock.at(clock.latest_s) - clock.midnight == timedelta(hours=24, minutes=30)
    with pytest.raises(SettingsError, match=r"evening.back_by 16:00 is before .* sunset is 20:10"):
        clock_of(in_the_evening(replace(TRIP, evening=EveningSettings(back_by=time(16)))))


def test_without_a_forecast_the_air_is_neutral_and_the_rest_that_of_the_morning() -> None:
    evening = in_the_evening(TRIP)
    walk = evening.morning
    assert isinstance(walk, EveningWalk)
    assert evening.weather == replace(TRIP.weather, air="neutral")
    assert walk.air_assumed
    assert walk.weather_of_morning


def test_the_weather_is_forecast_by_the_hour_of_the_evening(tmp_path: Path) -> None:
    start = datetime(2026, 4, 25, tzinfo=UTC)  # 19:00 on the day before, by the clock of the place
    hours = tuple(
        ForecastHour(
            start + timedelta(hours=k),
            wind_ms=8.0 if k >= 20 else 1.0,
            temperature_c=11.0 if k >= 20 else 0.0,
            cloud=0.1,
            rain_mm=0.0,
        )
        for k in range(40)
    )
    forecast = Forecast("a service", "its credit", start, 46.79, -92.10, hours)
    write_forecast(tmp_path, forecast)
    trip = on_morning(replace(TRIP, folder=tmp_path), forecast, DAY)
    assert (trip.weather.temperature_c, trip.weather.air) == (0.0, "calm dawn")
    evening = in_the_evening(trip)  # 17:10 to 20:43, which is 22:10 to 01:43 UTC
    assert evening.weather.temperature_c == 11.0
    assert evening.weather.wind_at_ear_ms == pytest.approx(2.4)
    assert evening.weather.air == "neutral"
    assert isinstance(evening.morning, EveningWalk)
    assert not evening.morning.air_assumed
    said = in_the_evening(replace(trip, evening=EveningSettings(wind_at_ear_ms=0.2)))
    assert said.weather.wind_at_ear_ms == 0.2


def test_a_sun_that_does_not_set_has_no_evening() -> None:
    north = replace(TRIP, place=replace(TRIP.place, car="69.6, 18.9"))
    north = replace(north, morning=replace(north.morning, date=date(2026, 6, 21), time_zone="Europe/Oslo"))
    with pytest.raises(SettingsError, match="does not set"):
        in_the_evening(north)


def test_a_second_walk_of_a_trip_leaves_its_morning_alone() -> None:
    assert in_the_evening(TRIP, date(2026, 4, 27)).morning.date == date(2026, 4, 27)
    assert TRIP.morning.evening is False
    assert in_the_evening(TRIP).morning.key("back_by") == "evening.back_by"
    assert in_the_evening(TRIP).morning.key("longest_walk_km") == "morning.longest_walk_km"
