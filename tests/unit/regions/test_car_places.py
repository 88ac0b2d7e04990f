"""Ends of roads, places along them, and drives that one can add up by hand."""

from pathlib import Path

import numpy as np
import pytest
from shapely import LineString

from hushwalk.errors import InputError
from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.regions.car_places import CarPlace, along, car_places, drive_minutes, road_ends, thinned
from hushwalk.regions.region_file import DriveSettings, PlacesSettings, parse_area_file
from hushwalk.regions.story import rank_areas
from hushwalk.site.reading.georeferencing import Georeference

GRID = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 400, 400)
MAIN = LineString([(500_000, 5_195_000), (506_000, 5_195_000), (512_000, 5_195_000)])
SPUR = LineString([(506_000, 5_195_000), (506_000, 5_191_000)])


@pytest.fixture
def where(tmp_path: object) -> Georeference:
    return Georeference(GRID, tmp_path, network=False)  # type: ignore[arg-type]


def test_an_end_is_where_no_other_road_goes_on() -> None:
    found = {tuple(xy) for xy in road_ends([MAIN, SPUR]).tolist()}
    assert found == {(500_000, 5_195_000), (512_000, 5_195_000), (506_000, 5_191_000)}


def test_places_along_a_road_keep_their_distance() -> None:
    found = along([SPUR], 1000.0)
    np.testing.assert_allclose(found[:, 1], [5_194_500, 5_193_500, 5_192_500, 5_191_500])
    assert thinned(np.array([[0.0, 0], [500, 0], [1000, 0]]), 1000.0).tolist() == [0, 2]


def test_ends_made_by_the_rim_of_the_region_are_no_ends(where: Georeference) -> None:
    roads = [Feature(MAIN), Feature(SPUR)]
    places, said = car_places(PlacesSettings(spacing_m=2000.0), roads, where)
    assert [place.xy_m for place in places if place.kind == "end of a road"] == [(506_000, 5_191_000)]
    assert any("find out" in words for words in said)
    few, _ = car_places(PlacesSettings(spacing_m=500.0, most=5), roads, where)
    assert len(few) <= 5


def test_without_points_and_roads_there_is_no_place(where: Georeference) -> None:
    with pytest.raises(InputError, match="no place to begin from"):
        car_places(PlacesSettings(), [], where)


def test_that_there_is_no_place_is_said_before_the_region_is_judged(tmp_path: Path) -> None:
    said = """
    [region]
    name = "Wide"
    bounds = [-91.0, 46.5, -89.5, 47.5]
    [morning]
    date = 2027-04-25
    back_by = 08:30:00
    [[layer]]
    kind = "cover"
    path = "no_such_file.tif"
    legend = "nlcd"
    """
    with pytest.raises(InputError, match="no place to begin from"):
        rank_areas(parse_area_file(said), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_drive_takes_length_over_speed(where: Georeference) -> None:
    roads = [Feature(MAIN, "paved"), Feature(SPUR, "gravel")]
    lon, lat = to_lonlat(32615, [500_000.0, 5_195_000.0]).tolist()
    settings = DriveSettings(home=f"{lat:.6f}, {lon:.6f}", speed_kmh=60, speeds_kmh={"gravel": 20})
    places = [CarPlace("a", "", (506_000.0, 5_191_000.0)), CarPlace("b", "", (509_000.0, 5_198_000.0))]
    minutes = drive_minutes(settings, roads, places, where)
    assert minutes[0] == pytest.approx(6 + 12, abs=0.1)  # by hand: 6 km at 60 km/h, 4 km at 20 km/h
    assert np.isinf(minutes[1])  # three kilometres from any road
