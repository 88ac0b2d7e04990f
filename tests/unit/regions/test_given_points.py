"""Points given as waypoints or as a table keep their names; what cannot be used says how to mend it."""

from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat, to_metres
from hushwalk.regions.car_places import car_places
from hushwalk.regions.given_points import PointFile, given_points
from hushwalk.regions.region_file import PlacesSettings
from hushwalk.site.reading.georeferencing import Georeference

GRID = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 400, 400)
GATE, LANDING = (503_000.0, 5_195_000.0), (506_000.0, 5_191_000.0)
GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="a receiver" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="{0[1]}" lon="{0[0]}"><name>Gate on Sawdust Road</name></wpt>
<wpt lat="{1[1]}" lon="{1[0]}"/>
</gpx>
"""


def degrees(xy_m: tuple[float, float]) -> tuple[float, float]:
    lon, lat = to_lonlat(GRID.epsg, np.array(xy_m)).round(7).tolist()
    return lon, lat


@pytest.fixture
def where(tmp_path: Path) -> Georeference:
    return Georeference(GRID, tmp_path, network=False)


def test_waypoints_keep_their_names_as_car_places(where: Georeference) -> None:
    (where.folder / "cars.gpx").write_text(GPX.format(degrees(GATE), degrees(LANDING)), encoding="utf-8")
    places, _ = car_places(PlacesSettings(path="cars.gpx"), [], where)
    assert [(place.name, place.kind) for place in places] == [("Gate on Sawdust Road", "given"), ("place 2", "given")]
    np.testing.assert_allclose([place.xy_m for place in places], [GATE, LANDING], atol=0.1)


@pytest.mark.parametrize("head", ["Name,Lat,Lon", "id;name;latitude;longitude", "name\tY\tX"])
def test_a_table_in_degrees_is_read_whatever_its_columns(where: Georeference, head: str) -> None:
    divider = next(sign for sign in ",;\t" if sign in head)
    lon, lat = degrees(GATE)
    cells = ["7"] * head.lower().startswith("id") + ["Gate", f"{lat}", f"{lon}"]
    row = divider.join(cells)
    text = row if divider == "," else row.replace(".", ",")
    (where.folder / "cars.csv").write_text(f"{head}\n{text}\n", encoding="utf-8")
    got = given_points(PointFile("cars.csv"), "places", where)
    assert got.points[0][0] == "Gate"
    assert got.points[0][1] == pytest.approx(GATE, abs=0.1)


def test_a_table_in_metres_says_its_system_and_places_beside_the_ground_are_counted(where: Georeference) -> None:
    text = "easting,northing,site\n503000,5195000,Gate\n903000,5195000,Far\n"
    (where.folder / "cars.csv").write_text(text, encoding="utf-8")
    got = given_points(PointFile("cars.csv", crs="EPSG:32615"), "places", where)
    assert got.points == (("Gate", GATE),)
    assert got.notices == ("places: 1 of 2 places lie beside the ground",)
    with pytest.raises(InputError, match=r'not in which system; give crs = "EPSG:\.\.\." .* "EPSG:32615"'):
        given_points(PointFile("cars.csv"), "places", where)
    other = to_metres(32616, np.array(degrees(GATE)))
    (where.folder / "cars.csv").write_text(f"x,y\n{other[0]},{other[1]}\n", encoding="utf-8")
    (place,) = given_points(PointFile("cars.csv", crs="EPSG:32616"), "places", where).points
    assert place[0] == ""
    assert place[1] == pytest.approx(GATE, abs=0.1)


def test_a_table_that_cannot_be_used_says_how_to_mend_it(where: Georeference) -> None:
    def said(text: str, file: PointFile | None = None) -> str:
        (where.folder / "cars.csv").write_text(text, encoding="utf-8")
        with pytest.raises(InputError) as fault:
            given_points(file or PointFile("cars.csv"), "places", where)
        return str(fault.value)

    lon, lat = degrees(GATE)
    assert "a column longitude and a column latitude in degrees, or easting and northing" in said("a,b\n1,2\n")
    assert "line 2: '', ''" in said("lat,lon\n,\n")
    assert "look whether the minus sign of the longitude is missing" in said(f"lat,lon\n{lat},{-lon}\n")
    assert "are latitude and longitude swapped?" in said(f"lat,lon\n{lon},{lat}\n")
    assert "no column 'who'; its columns are lat, lon" in said(
        "lat,lon\n1,2\n", PointFile("cars.csv", name_field="who")
    )
    assert "holds no row below its header" in said("lat,lon\n")
    assert "pair of numbers" in said("lat,lon\nnan,2\n")
