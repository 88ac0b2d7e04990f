"""Cautions follow the settings."""

from dataclasses import replace
from datetime import date, time

from hushwalk.site.cautions import cautions
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings, WeatherSettings
from hushwalk.wording.caution_words import caution_sentences

TRIP = TripSettings(
    PlaceSettings("Hollow Alder", "47.6, -91.7"),
    MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago"),
    (LayerSettings("elevation", "a.tif"),),
)


def test_every_sheet_tells_to_keep_off_and_to_tell_someone() -> None:
    words = " ".join(caution_sentences(cautions(TRIP)))
    assert "80 m off" in words
    assert "Tell someone" in words
    assert "law" in words


def test_ice_cold_and_dark_are_told_when_they_apply() -> None:
    cold = replace(
        TRIP, weather=WeatherSettings(temperature_c=-5), morning=replace(TRIP.morning, off_trail_in_the_dark=True)
    )
    warm = replace(TRIP, weather=WeatherSettings(temperature_c=12))
    assert "Ice" in " ".join(caution_sentences(cautions(cold)))
    assert "before civil dawn" in " ".join(caution_sentences(cautions(cold)))
    assert "Ice" not in " ".join(caution_sentences(cautions(warm)))
    assert "chills" not in " ".join(caution_sentences(cautions(warm)))
