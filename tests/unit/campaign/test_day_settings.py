"""One day of a campaign as a trip of its own: its hours, its weather, its car."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from hushwalk.campaign.campaign_plan import Outing
from hushwalk.campaign.outings import People, campaign_days, cars_of, checked_days, day_settings
from hushwalk.errors import SettingsError
from hushwalk.site.campaign_settings import CampaignDay, CampaignSettings
from hushwalk.site.forecast import Forecast, ForecastHour, on_morning, write_forecast
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings

SATURDAY, SUNDAY, MONDAY = (date(2027, 4, day) for day in (24, 25, 26))
ON_SATURDAY, ON_SUNDAY, ON_MONDAY = map(Outing, (SATURDAY, SUNDAY, MONDAY))
LATE_SATURDAY = Outing(SATURDAY, evening=True)
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
    first = day_settings(TRIP, ON_SATURDAY, "47.63, -91.72")
    assert first.place.car == "47.63, -91.72"
    assert replace(first, place=TRIP.place) == TRIP
    second = day_settings(TRIP, ON_SUNDAY, cars_of(TRIP, ON_SUNDAY)[0])
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
    first, second = (day_settings(trip, day, "47.62, -91.70") for day in (ON_SATURDAY, ON_MONDAY))
    assert first.weather == trip.weather
    assert second.weather.wind_at_ear_ms > first.weather.wind_at_ear_ms
    assert second.weather.temperature_c == TRIP.weather.temperature_c  # the trip file says it
    assert day_settings(trip, ON_SUNDAY, "47.62, -91.70").weather.wind_at_ear_ms == 2.0  # so does the table of the day


def test_places_of_the_car_are_those_of_the_trip_or_the_one_of_the_day() -> None:
    assert cars_of(TRIP, ON_SATURDAY) == ("47.62, -91.70", "47.63, -91.72")
    assert cars_of(TRIP, ON_SUNDAY) == ("47.64, -91.71",)


def test_days_are_those_of_the_trip_file_or_so_many_from_its_day_on() -> None:
    assert checked_days(TRIP, campaign_days(TRIP, None)) == (ON_SATURDAY, ON_SUNDAY)
    assert campaign_days(TRIP, 3) == (ON_SATURDAY, ON_SUNDAY, ON_MONDAY)
    both = campaign_days(TRIP, 2, evenings=True)
    assert checked_days(TRIP, both) == (ON_SATURDAY, LATE_SATURDAY, ON_SUNDAY, Outing(SUNDAY, evening=True))
    assert campaign_days(TRIP, 1, evening=True) == (LATE_SATURDAY,)
    mixed = replace(TRIP, campaign=replace(TRIP.campaign, evenings=(SATURDAY,)))
    assert checked_days(mixed, campaign_days(mixed, None)) == (ON_SATURDAY, LATE_SATURDAY, ON_SUNDAY)


def test_some_days_may_be_named_instead() -> None:
    assert campaign_days(TRIP, None, only=(MONDAY,)) == (ON_MONDAY,)
    assert campaign_days(TRIP, None, only=(SATURDAY, MONDAY)) == (ON_SATURDAY, ON_MONDAY)
    assert campaign_days(TRIP, None, only=(SATURDAY,), evening=True) == (LATE_SATURDAY,)
    assert campaign_days(TRIP, None, only=(SATURDAY,), evenings=True) == (ON_SATURDAY, LATE_SATURDAY)
    assert campaign_days(TRIP, 2, only=(SATURDAY,)) == (ON_SATURDAY, ON_SUNDAY)
    with pytest.raises(SettingsError, match="--days counts days from one --day on"):
        campaign_days(TRIP, 2, only=(SATURDAY, MONDAY))


def test_an_evening_takes_what_its_own_table_says() -> None:
    own = CampaignDay(date=SATURDAY, evening=True, back_by=time(20, 10), rain="light")
    trip = replace(TRIP, campaign=replace(TRIP.campaign, exception=(*TRIP.campaign.exception, own)))
    late = day_settings(trip, LATE_SATURDAY, "47.63, -91.72")
    assert late.morning.evening
    assert (late.morning.back_by, late.weather.rain, late.weather.air) == (time(20, 10), "light", "neutral")
    assert day_settings(trip, ON_SATURDAY, "47.63, -91.72").weather.rain == "none"


def test_the_second_of_two_walks_from_a_car_of_the_own() -> None:
    people = People(("Ada", "Bo"), "47.61, -91.69")
    assert cars_of(TRIP, ON_SATURDAY, people) == cars_of(TRIP, ON_SATURDAY)
    assert cars_of(TRIP, ON_SATURDAY._replace(person=1), people) == ("47.61, -91.69",)
    assert [people.name(ON_SATURDAY._replace(person=k)) for k in (0, 1)] == ["Ada", "Bo"]
