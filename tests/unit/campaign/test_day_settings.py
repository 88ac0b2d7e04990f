"""One day of a campaign as a trip of its own: its hours, its weather, its car."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from hushwalk.campaign.story import campaign_days, cars_of, checked_days, day_settings
from hushwalk.site.campaign_settings import CampaignDay, CampaignSettings
from hushwalk.site.forecast import Forecast, ForecastHour, on_morning, write_forecast
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings

SATURDAY, SUNDAY, MONDAY = (date(2027, 4, day) for day in (24, 25, 26))
TRIP = TripSettings(
    place=PlaceSettings("Invented ground", "47.62, -91.70"),
    morning=MorningSettings(date=SATURDAY, back_by=time(9, 30), time_zone="America/Chicago"),
    layers=(LayerSettings("elevation", "heights.tif"),),
    campaign=CampaignSettings(
        days=(SUNDAY, SATURDAY),
        cars=("47.63, -91.72", "47.62, -91.70"),
        exception=(
            CampaignDay(date=SUNDAY, car_at="47.64, -91.71", back_by=time(8), rain="light", wind_at_ear_ms=2.0),
        ),
    ),
)


def test_what_is_left_out_is_as_for_the_trip() -> None:
    first = day_settings(TRIP, SATURDAY, "47.63, -91.72")
    assert first.place.car == "47.63, -91.72"
    assert replace(first, place=TRIP.place) == TRIP
    second = day_settings(TRIP, SUNDAY, cars_of(TRIP, SUNDAY)[0])
    assert (second.morning.date, second.morning.back_by) == (SUNDAY, time(8))
    assert second.weather == replace(TRIP.weather, rain="light", wind_at_ear_ms=2.0)


def test_every_day_takes_the_weather_forecast_for_it_but_what_the_trip_file_says(tmp_path: Path) -> None:
    start = datetime(2027, 4, 24, tzinfo=UTC)
    hours = tuple(
        ForecastHour(start + timedelta(hours=k), wind_ms=2.0 if k < 24 else 6.0, temperature_c=1.0, rain_mm=0.0)
        for k in range(70)
    )
    forecast = Forecast("a service", "its credit", start, 47.62, -91.70, hours)
    write_forecast(tmp_path, forecast)
    trip = on_morning(replace(TRIP, folder=tmp_path), forecast, SATURDAY, {"temperature_c"})
    first, second = (day_settings(trip, day, "47.62, -91.70") for day in (SATURDAY, MONDAY))
    assert first.weather == trip.weather
    assert second.weather.wind_at_ear_ms > first.weather.wind_at_ear_ms
    assert second.weather.temperature_c == TRIP.weather.temperature_c  # the trip file says it
    assert day_settings(trip, SUNDAY, "47.62, -91.70").weather.wind_at_ear_ms == 2.0  # so does the table of the day


def test_places_of_the_car_are_those_of_the_trip_or_the_one_of_the_day() -> None:
    assert cars_of(TRIP, SATURDAY) == ("47.62, -91.70", "47.63, -91.72")
    assert cars_of(TRIP, SUNDAY) == ("47.64, -91.71",)


def test_days_are_those_of_the_trip_file_or_so_many_from_its_day_on() -> None:
    assert checked_days(TRIP, campaign_days(TRIP, None)) == (SATURDAY, SUNDAY)
    assert campaign_days(TRIP, 3) == (SATURDAY, SUNDAY, MONDAY)
