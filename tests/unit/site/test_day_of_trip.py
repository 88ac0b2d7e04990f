"""One day of a trip by itself: named by a date or a number, with its own hours, weather and car."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from hushwalk.errors import SettingsError
from hushwalk.site.day_of_trip import cars_on, on_day
from hushwalk.site.forecast import Forecast, ForecastHour, write_forecast
from hushwalk.site.trip_file import read_trip

TRIP = """
[place]
name = "Invented ground"
car = "47.62, -91.70"
[morning]
date = 2027-04-24
back_by = 09:30:00
time_zone = "America/Chicago"
[weather]
temperature_c = 1.0
[[layer]]
kind = "elevation"
path = "heights.tif"
"""
CAMPAIGN = """
[campaign]
days = [2027-04-27, 2027-04-24, 2027-04-25]
cars = ["47.63, -91.72"]
[[campaign.exception]]
date = 2027-04-25
back_by = 08:00:00
car_at = "47.64, -91.71"
rain = "light"
[[campaign.exception]]
date = 2027-04-25
evening = true
snow = "old"
"""


def trip_file(folder: Path, text: str) -> Path:
    file = folder / "trip.toml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("campaign", "day", "meant"),
    [
        (CAMPAIGN, 1, date(2027, 4, 24)),
        (CAMPAIGN, 3, date(2027, 4, 27)),
        (CAMPAIGN, date(2027, 5, 2), date(2027, 5, 2)),
        ("[campaign]\nevenings = [2027-04-26]\n", 1, date(2027, 4, 26)),
        ("", 3, date(2027, 4, 26)),
        (CAMPAIGN, None, date(2027, 4, 24)),
    ],
)
def test_a_day_is_meant_by_its_date_or_its_number(
    campaign: str, day: date | int | None, meant: date, tmp_path: Path
) -> None:
    assert read_trip(trip_file(tmp_path, TRIP + campaign), day).morning.date == meant


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (4, "--day 4: campaign.days names only 2027-04-24, 2027-04-25, 2027-04-27; give a number up to 3, or a date"),
        (date(1600, 4, 24), "--day 1600-04-24 lies outside the years"),
    ],
)
def test_a_day_that_cannot_be_is_refused(day: date | int, words: str, tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match=words):
        read_trip(trip_file(tmp_path, TRIP + CAMPAIGN), day)


def test_a_day_by_itself_has_its_own_hours_weather_and_car(tmp_path: Path) -> None:
    trip = read_trip(trip_file(tmp_path, TRIP + CAMPAIGN))
    sunday, monday = date(2027, 4, 25), date(2027, 4, 26)
    own, plain, late = on_day(trip, sunday), on_day(trip, monday), on_day(trip, sunday, evening=True)
    assert (own.morning.date, own.morning.back_by, own.weather.rain) == (sunday, time(8), "light")
    assert own.place.car == "47.64, -91.71"
    assert (plain.morning.back_by, plain.weather.rain, plain.place.car) == (time(9, 30), "none", "47.62, -91.70")
    assert late.morning.evening
    assert (late.weather.rain, late.weather.snow, late.place.car) == ("none", "old", "47.62, -91.70")
    assert cars_on(trip, sunday) == ("47.64, -91.71",)
    assert cars_on(trip, sunday, evening=True) == ("47.62, -91.70", "47.63, -91.72")
    assert on_day(own, sunday) == own


def test_a_day_takes_its_forecast_where_that_of_the_file_is_over(tmp_path: Path) -> None:
    begin = datetime(2027, 4, 25, tzinfo=UTC)
    hours = tuple(ForecastHour(begin + timedelta(hours=k), wind_ms=6.0, temperature_c=9.0) for k in range(48))
    write_forecast(tmp_path, Forecast("a service", "its credit", begin, 47.62, -91.70, hours))
    file = trip_file(tmp_path, TRIP)
    over, then = read_trip(file), read_trip(file, date(2027, 4, 26))
    assert over.forecast is None
    assert then.forecast is not None
    assert then.forecast.day == date(2027, 4, 26)
    assert then.weather.wind_at_ear_ms > over.weather.wind_at_ear_ms
    assert then.weather.temperature_c == 1.0, "what the trip file says goes before the forecast"
