"""One day of a campaign as a trip of its own: its hours, its weather, its car."""

from dataclasses import replace
from datetime import date, time

from hushwalk.campaign.story import campaign_days, cars_of, checked_days, day_settings
from hushwalk.site.campaign_settings import CampaignDay, CampaignSettings
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings

SATURDAY, SUNDAY, MONDAY = (date(2027, 4, day) for day in (24, 25, 26))
TRIP = TripSettings(
    place=PlaceSettings("Invented ground", "47.62, -91.70"),
    morning=MorningSettings(date=SATURDAY, back_by=time(9, 30), time_zone="America/Chicago"),
    layers=(LayerSettings("elevation", "heights.tif"),),
    campaign=CampaignSettings(
        days=(SUNDAY, SATURDAY),
        cars=("47.63, -91.72", "47.62, -91.70"),
        exception=(CampaignDay(SUNDAY, car_at="47.64, -91.71", back_by=time(8), rain="light", wind_at_ear_ms=2.0),),
    ),
)


def test_what_is_left_out_is_as_for_the_trip() -> None:
    first = day_settings(TRIP, SATURDAY, "47.63, -91.72")
    assert first.place.car == "47.63, -91.72"
    assert replace(first, place=TRIP.place) == TRIP
    second = day_settings(TRIP, SUNDAY, cars_of(TRIP, SUNDAY)[0])
    assert (second.morning.date, second.morning.back_by) == (SUNDAY, time(8))
    assert second.weather == replace(TRIP.weather, rain="light", wind_at_ear_ms=2.0)


def test_places_of_the_car_are_those_of_the_trip_or_the_one_of_the_day() -> None:
    assert cars_of(TRIP, SATURDAY) == ("47.62, -91.70", "47.63, -91.72")
    assert cars_of(TRIP, SUNDAY) == ("47.64, -91.71",)


def test_days_are_those_of_the_trip_file_or_so_many_from_its_day_on() -> None:
    assert checked_days(TRIP, campaign_days(TRIP, None)) == (SATURDAY, SUNDAY)
    assert campaign_days(TRIP, 3) == (SATURDAY, SUNDAY, MONDAY)
