"""Area files: what they may say, and what is told when they may not."""

import pytest

from hushwalk.errors import SettingsError
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
