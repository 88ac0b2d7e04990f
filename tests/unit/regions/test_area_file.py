"""Area files: what they may say, and what is told when they may not."""

from pathlib import Path

import pytest

from hushwalk.errors import SettingsError
from hushwalk.regions.area_trip import RankedArea, trip_text
from hushwalk.regions.region_file import parse_area_file
from hushwalk.site.trip_file import parse_trip

GOOD = """
[region]
name = "Made region"
bounds = [-91.0, 46.5, -90.0, 47.0]
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:30:00
[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"
"""


def test_a_good_file_has_defaults_for_the_rest() -> None:
    settings = parse_area_file(GOOD)
    assert settings.region.bounds == (-91.0, 46.5, -90.0, 47.0)
    assert (settings.species, settings.region.cell_m, settings.places.most) == ("ruffed_grouse", 30.0, 2000)
    assert settings.drive is settings.scouted is None


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("bounds = [-91.0, 46.5, -90.0, 47.0]", "bounds = [46.5, -91.0, 47.0, -90.0]", "west, south, east, north"),
        ("bounds = [-91.0, 46.5, -90.0, 47.0]", "bounds = [-91.0, 46.5]", "at least 4"),
        ("back_by", "back_at", "did you mean 'back_by'"),
        ("America/Chicago", "Americka/Chicago", "not a time zone"),
        ("[morning]", "[places]\nmostly = 3\n[morning]", "unknown key 'places.mostly'"),
        ("[morning]", '[drive]\nhome = "nowhere"\n[morning]', "understood are"),
        ("[morning]", "folder = 3\n[morning]", "folder"),
    ],
)
def test_a_fault_is_told_with_its_mend(old: str, new: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        parse_area_file(GOOD.replace(old, new))


def test_a_trip_is_no_region() -> None:
    with pytest.raises(SettingsError, match="place"):
        parse_trip(GOOD)


def test_a_zone_that_is_left_out_is_that_of_the_middle_of_the_bounds_and_the_trip_says_derived() -> None:
    without = GOOD.replace('time_zone = "America/Chicago"\n', "")
    settings = parse_area_file(without)
    assert (settings.morning.time_zone, settings.derived_zone) == ("America/Chicago", "America/Chicago")
    assert parse_area_file(GOOD).derived_zone == ""
    area = RankedArea(1, "End of the two-track", 46.8, -90.5, "why")
    text = trip_text(settings, area, Path(), Path())
    assert '# time_zone = "America/Chicago"   # derived from the place' in text
    assert '# region = "lake_states"   # assumed from the place' in text
    assert 'cycle = "unknown"' in text
    trip = parse_trip(text)
    assert (trip.morning.time_zone, trip.derived_zone) == ("America/Chicago", "America/Chicago")
    assert '\ntime_zone = "America/Chicago"' in trip_text(parse_area_file(GOOD), area, Path(), Path())
    with pytest.raises(SettingsError, match=r"time_zone' is missing, and without region\.bounds"):
        parse_area_file(without.replace("bounds = [-91.0, 46.5, -90.0, 47.0]\n", ""))
