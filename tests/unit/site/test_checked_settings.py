"""Settings made in Python keep the limits of a trip file, and are refused in its words."""

from dataclasses import replace
from datetime import date, time

import pytest

from hushwalk.errors import SettingsError
from hushwalk.regions.region_file import RegionSettings
from hushwalk.site.camera_settings import CameraSettings, LensSettings
from hushwalk.site.settings import (
    ClosedSettings,
    GroundSettings,
    LayerSettings,
    MorningSettings,
    PlaceSettings,
    TripSettings,
    WalkerSettings,
    WeatherSettings,
)
from hushwalk.site.trip_file import parse_trip

TEXT = """
[place]
name = "North ridge"
car = "47.38, -90.35"
[morning]
date = 2027-04-24
time_zone = "America/Chicago"
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "heights.tif"
"""


def said_of_a_file(table: str) -> str:
    with pytest.raises(SettingsError) as fault:
        parse_trip(TEXT + table)
    return str(fault.value)


def said_in_python(noun: type, **values: object) -> str:
    with pytest.raises(SettingsError) as fault:
        noun(**values)
    return str(fault.value)


@pytest.mark.parametrize(
    ("noun", "table", "key", "in_file", "in_python", "words"),
    [
        (GroundSettings, "ground", "cell_m", "-3", -3, "must be at least 2, got -3"),
        (GroundSettings, "ground", "reach_m", '"far"', "far", "must be a number without quotes, got 'far'"),
        (GroundSettings, "ground", "reach_m", "nan", float("nan"), "must be a finite number, got nan"),
        (WeatherSettings, "weather", "snow_cover_share", "1.5", 1.5, "must be at most 1, got 1.5"),
        (WeatherSettings, "weather", "rain", '"lightt"', "lightt", "got 'lightt'; did you mean 'light'?"),
        (WalkerSettings, "walker", "reserve", "-0.1", -0.1, "must be at least 0, got -0.1"),
    ],
)
def test_a_value_is_refused_in_the_same_words(
    noun: type, table: str, key: str, in_file: str, in_python: object, words: str
) -> None:
    of_file, of_python = said_of_a_file(f"[{table}]\n{key} = {in_file}\n"), said_in_python(noun, **{key: in_python})
    assert of_file.endswith(words)
    assert of_file.startswith(f"trip.toml: line 13: {table}.{key} ")
    assert of_python == of_file.replace(f"trip.toml: line 13: {table}.{key}", f"{noun.__name__}: {key}")


def test_every_fault_is_listed() -> None:
    said = said_in_python(GroundSettings, cell_m=-3, reach_m=1)
    assert said.splitlines() == [
        "GroundSettings has 2 faults:",
        "  cell_m must be at least 2, got -3",
        "  reach_m must be at least 300, got 1",
    ]


def test_what_keys_say_together_is_refused_in_the_words_of_a_file() -> None:
    morning = {"date": date(2027, 4, 24), "back_by": time(9, 30), "time_zone": "America/Chicago"}
    said = said_in_python(MorningSettings, **morning, minutes_per_stop_min=9, minutes_per_stop_max=5)
    text = TEXT.replace("back_by = 09:30:00", "back_by = 09:30:00\nminutes_per_stop_min = 9\nminutes_per_stop_max = 5")
    with pytest.raises(SettingsError) as fault:
        parse_trip(text)
    assert said.removeprefix("MorningSettings: ") == str(fault.value).removeprefix("trip.toml: line 9: ")
    assert "is not a time zone of the IANA list" in said_in_python(MorningSettings, **morning | {"time_zone": "Mars"})
    assert "key 'where' has no effect" in said_in_python(LayerSettings, kind="elevation", path="a.tif", where="a = 1")
    assert "where: " in said_in_python(LayerSettings, kind="trails", path="a.gpkg", where="a = ")
    assert "region.bounds [3.0, 2.0, 1.0, 4.0] must be" in said_in_python(
        RegionSettings, name="R", bounds=(3.0, 2.0, 1.0, 4.0)
    )


def test_nested_settings_are_settings_and_lists_stand_for_tuples() -> None:
    place = PlaceSettings("North ridge", "47.38, -90.35")
    morning = MorningSettings(date(2027, 4, 24), time(9, 30), "America/Chicago")
    trip = TripSettings(place, morning, [LayerSettings("elevation", "heights.tif")])  # type: ignore[arg-type]
    assert trip.layers == (LayerSettings("elevation", "heights.tif"),)
    assert trip == parse_trip(TEXT)
    corners = [[-90.3, 47.3], [-90.2, 47.3], [-90.2, 47.4]]
    assert ClosedSettings("Parcel", corners).corners[2] == (-90.2, 47.4)  # type: ignore[arg-type]
    assert "ground must be a GroundSettings, got {'cell_m': -3}" in said_in_python(
        TripSettings, place=place, morning=morning, layers=trip.layers, ground={"cell_m": -3}
    )
    assert "layers needs at least 1 entries" in said_in_python(TripSettings, place=place, morning=morning, layers=())
    assert "lens.0" not in said_in_python(CameraSettings, lens=({"name": "500 mm"},))
    assert LensSettings("500 mm", 500, 5.6, 3.7).focal_mm == 500.0


def test_a_replaced_value_is_checked_too_and_a_wrong_name_is_what_python_says() -> None:
    with pytest.raises(SettingsError, match=r"cell_m must be at least 2, got 0\.0"):
        replace(GroundSettings(), cell_m=0.0)
    with pytest.raises(TypeError, match="cellm"):
        GroundSettings(cellm=10.0)  # type: ignore[call-arg]


def test_the_defaults_are_within_their_own_limits() -> None:
    for noun in (GroundSettings, WalkerSettings, WeatherSettings, CameraSettings):
        assert noun(**vars(noun())) == noun()
