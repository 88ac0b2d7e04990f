"""Which region of a card a place lies in, and where the bird does not live."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres
from hushwalk.site.bird_range import bird_region, region_of_ground
from hushwalk.site.species import read_card, species_cards
from hushwalk.site.species_file import read_card_text
from hushwalk.site.trip_file import read_trip

GROUSE = read_card("ruffed_grouse")
TRIP = """\
species = "my.toml"
[place]
name = "Hollow Alder"
car = "47.62, -91.70"
[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "elevation.tif"
"""


@pytest.mark.parametrize(
    ("place", "lat", "lon", "region"),
    [
        ("north-east Minnesota", 47.6, -91.7, "lake_states"),
        ("Upper Michigan", 46.4, -87.5, "lake_states"),
        ("Wisconsin", 44.5, -90.0, "lake_states"),
        ("northern Ontario", 50.5, -88.0, "lake_states"),
        ("interior Alaska", 64.8, -147.7, "lake_states"),
        ("Maine", 45.5, -69.0, "new_england"),
        ("New Hampshire", 43.4, -72.1, "new_england"),
        ("northern Pennsylvania", 41.6, -77.8, "new_england"),
        ("southern Ontario", 44.8, -79.5, "ohio_ontario_south"),
        ("Great Smoky Mountains", 35.6, -83.5, "appalachians_south"),
        ("western Montana", 46.7, -114.1, "northern_rockies"),
        ("Olympic Peninsula", 47.8, -123.5, "northern_rockies"),
        ("central British Columbia", 54.0, -123.5, "northern_rockies"),
        ("Black Hills", 44.0, -103.8, "black_hills"),
        ("Alberta foothills", 53.4, -115.5, "parkland_alberta"),
    ],
)
def test_the_region_of_a_place_within_the_range(place: str, lat: float, lon: float, region: str) -> None:
    found = bird_region(GROUSE, None, lon, lat)
    assert (found.key, found.named, found.out_of_range) == (region, False, False), place


@pytest.mark.parametrize(
    ("place", "card", "lat", "lon"),
    [
        ("the Alps", "ruffed_grouse", 47.1, 9.5),
        ("the Sierra Nevada", "ruffed_grouse", 38.5, -120.0),
        ("Florida", "ruffed_grouse", 28.5, -81.5),
        ("Kansas", "ruffed_grouse", 38.5, -98.0),
        ("southern Africa", "ruffed_grouse", -30.0, 25.0),
        ("Maine", "sooty_grouse", 45.5, -69.0),
        ("western Montana", "american_woodcock", 46.7, -114.1),
        ("Japan", "sooty_grouse", 43.0, 142.0),
    ],
)
def test_a_place_outside_the_range_is_far_from_it(place: str, card: str, lat: float, lon: float) -> None:
    found = bird_region(read_card(card), None, lon, lat)
    assert found.out_of_range, place
    assert (found.out_of_range_km or 0) > 50


def test_other_birds_live_where_they_do() -> None:
    cards = species_cards()
    assert not bird_region(cards["sooty_grouse"], None, -120.3, 39.4).out_of_range  # northern Sierra Nevada
    assert not bird_region(cards["sooty_grouse"], None, -134.4, 58.3).out_of_range  # south-east Alaska
    assert not bird_region(cards["american_woodcock"], None, -69.0, 45.5).out_of_range


@pytest.mark.parametrize(
    ("card", "place", "lon", "lat", "region"),
    [
        ("hazel_grouse", "Liechtenstein", 9.55, 47.13, "alps"),
        ("hazel_grouse", "Slovak Carpathians", 19.5, 49.0, "carpathians"),
        ("hazel_grouse", "central Sweden", 15.5, 60.0, "boreal"),
        ("hazel_grouse", "Bialowieza", 23.8, 52.7, "boreal"),
        ("black_grouse", "Ticino", 8.8, 46.3, "alps"),
        ("black_grouse", "North Pennines", -2.3, 54.7, "great_britain"),
        ("black_grouse", "Sallandse Heuvelrug", 6.4, 52.3, "remnants"),
        ("black_grouse", "central Finland", 25.0, 62.0, "boreal"),
    ],
)
def test_the_birds_of_europe_have_regions_there(card: str, place: str, lon: float, lat: float, region: str) -> None:
    found = bird_region(read_card(card), None, lon, lat)
    assert (found.key, found.out_of_range) == (region, False), place


@pytest.mark.parametrize(
    ("card", "lon", "lat"),
    [
        ("hazel_grouse", -2.3, 54.7),
        ("hazel_grouse", -91.7, 47.6),
        ("black_grouse", 12.5, 42.0),
        ("black_grouse", -4.0, 40.4),
    ],
)
def test_the_birds_of_europe_do_not_live_everywhere(card: str, lon: float, lat: float) -> None:
    assert bird_region(read_card(card), None, lon, lat).out_of_range


def test_a_region_that_is_named_holds_wherever_the_place_lies() -> None:
    found = bird_region(GROUSE, "new_england", -91.7, 47.6)
    assert (found.key, found.named) == ("new_england", True)
    assert found.off_km is not None
    assert found.off_km > 500
    with pytest.raises(SettingsError, match="did you mean 'new_england'"):
        bird_region(GROUSE, "new_engand", -91.7, 47.6)


def test_a_card_without_outlines_gives_its_first_region_and_no_doubt() -> None:
    file = replace(GROUSE.file, range=None, region={k: replace(r, outlines=[]) for k, r in GROUSE.file.region.items()})
    found = bird_region(replace(GROUSE, file=file), None, 9.5, 47.1)
    assert (found.key, found.off_km, found.out_of_range_km, found.out_of_range) == ("lake_states", None, None, False)


def test_a_card_of_ones_own_lies_beside_the_trip_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "trip").mkdir()
    (tmp_path / "trip" / "trip.toml").write_text(TRIP, encoding="utf-8")
    (tmp_path / "trip" / "my.toml").write_text(read_card_text("ruffed_grouse")[1], encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert read_card(read_trip(Path("trip/trip.toml")).species).key == "my"
    (tmp_path / "trip" / "my.toml").unlink()
    with pytest.raises(MissingFileError, match=r"no species card 'my\.toml', .* beside the one that names it"):
        read_card(read_trip(Path("trip/trip.toml")).species)


def test_corners_that_are_no_degrees_are_refused(tmp_path: Path) -> None:
    text = read_card_text("sooty_grouse")[1].replace("[-139.5, 60]", "[60, -139.5]")
    (tmp_path / "turned.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SettingsError, match=r"corners of outlines are \[longitude, latitude\]"):
        read_card(tmp_path / "turned.toml")


def test_all_of_a_ground_is_scored_by_the_region_of_its_middle_and_the_others_are_named() -> None:
    east, north = to_metres(32616, np.array([-82.6, 43.5])).tolist()  # Lake Huron, where three regions meet
    wide = Grid(32616, east - 150_000, north + 150_000, 1000.0, 300, 300)
    found = region_of_ground(GROUSE, None, wide)
    assert found == replace(bird_region(GROUSE, None, -82.6, 43.5), others=found.others)
    assert found.key not in found.others
    assert {"ohio_ontario_south", "lake_states"} == {found.key, *found.others}
    small = Grid(32616, east - 500, north + 500, 100.0, 10, 10)
    assert region_of_ground(GROUSE, None, small).others == ()
    assert region_of_ground(GROUSE, "new_england", wide).others == ()
