"""What a trip's inputs say when layers are absent or the surroundings are odd; layers at fault live in the gallery."""

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date, time
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely

from hushwalk.errors import InputError, SettingsError
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.reading.features import SHAPES
from hushwalk.site.settings import (
    ClosedSettings,
    GroundSettings,
    LayerSettings,
    MorningSettings,
    PlaceSettings,
    TripSettings,
)

CAR = (-91.69, 46.94)


def settings_in(folder: Path, *layers: LayerSettings, **more: object) -> TripSettings:
    return TripSettings(
        PlaceSettings("Invented ground", ""),
        MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago"),
        layers or (LayerSettings("elevation", "dem.tif"),),
        ground=GroundSettings(reach_m=300.0),
        folder=folder,
        **more,  # type: ignore[arg-type]
    )


def write_heights(folder: Path) -> None:
    grid = choose_grid(settings_in(folder), CAR)
    profile = {"driver": "GTiff", "height": grid.n_rows, "width": grid.n_cols, "count": 1, "dtype": "float32"}
    with rasterio.open(folder / "dem.tif", "w", crs=grid.crs, transform=grid.transform, **profile) as file:
        file.write(np.full(grid.shape, 420, dtype=np.float32), 1)


def read(folder: Path, *layers: LayerSettings, **more: object) -> Inputs:
    settings = settings_in(folder, *layers, **more)
    return read_inputs(settings, choose_grid(settings, CAR))


def test_heights_alone_are_enough_and_what_is_missing_is_said(tmp_path: Path) -> None:
    write_heights(tmp_path)
    got = read(tmp_path)
    assert got.cover is None
    assert got.measures == {}
    assert set(got.features) == set(SHAPES)
    assert all(got.shapes(kind) == () for kind in SHAPES)
    assert [words.split(" ")[1:3] for words in got.notices] == [
        ["land", "cover"],
        ["streams", "were"],
        ["trails", "were"],
        ["closed", "ground"],
    ]
    (story,) = got.stories
    assert story.startswith("layer elevation (dem.tif): cells of 10 m in EPSG:32615 (WGS 84 / UTM zone 15N)")
    assert story.endswith("interpolated onto cells of 10 m (bilinear)")
    assert got.elevation.story == got.stories


def test_closed_ground_drawn_by_hand_counts_as_given(tmp_path: Path) -> None:
    write_heights(tmp_path)
    ring = ((-91.691, 46.9395), (-91.689, 46.9395), (-91.689, 46.9405))
    got = read(tmp_path, closed=(ClosedSettings("Parcel", ring),))
    assert [f.name for f in got.features["closed"]] == ["Parcel"]
    assert not any("closed ground" in words for words in got.notices)


def test_heights_are_needed(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match='no layer of kind "elevation"'):
        read(tmp_path, LayerSettings("streams", "streams.gpkg"))


def test_tables_of_another_install_are_left_aside_and_it_is_said(tmp_path: Path) -> None:
    write_heights(tmp_path)
    code = (
        "from datetime import date, time; from pathlib import Path\n"
        "from hushwalk.site.settings import *\n"
        "from hushwalk.site.grid_choice import choose_grid; from hushwalk.site.inputs import read_inputs\n"
        "from datetime import time\n"
        "s = TripSettings(PlaceSettings('x', ''), MorningSettings(date(2027, 4, 25), time(9), 'UTC'),"
        " (LayerSettings('elevation', 'dem.tif', crs='EPSG:26915'),), ground=GroundSettings(reach_m=300.0),"
        f" folder=Path({str(tmp_path)!r}))\n"
        f"print(read_inputs(s, choose_grid(s, {CAR})).notices[0])\n"
    )
    foreign = {"PROJ_LIB": str(tmp_path), "PROJ_DATA": str(tmp_path), "GDAL_DATA": str(tmp_path)}
    said = subprocess.run(
        [sys.executable, "-c", code], env={**os.environ, **foreign}, capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stderr
    assert said.stdout.startswith("PROJ_LIB, PROJ_DATA, GDAL_DATA of another install")


def box_at(east_deg: float, size_deg: float = 0.001) -> shapely.Polygon:
    return shapely.box(CAR[0] + east_deg, CAR[1], CAR[0] + east_deg + size_deg, CAR[1] + size_deg)


def write_shapes(file: Path, *shapes: object, kind: str = "Unknown", **fields: list[object]) -> None:
    wkb = np.array([None if s is None else shapely.to_wkb(s) for s in shapes], dtype=object)
    columns = [np.array(values, dtype=object) for values in fields.values()]
    pyogrio.raw.write(file, wkb, columns, list(fields), geometry_type=kind, crs="EPSG:4326")


@pytest.mark.parametrize("kind", ["closed", "roads", "buildings", "wetlands"])
def test_a_layer_beside_the_ground_is_a_remark_and_not_an_error(kind: str, tmp_path: Path) -> None:
    write_heights(tmp_path)
    shape = box_at(0.2) if kind != "roads" else box_at(0.2).exterior
    write_shapes(tmp_path / "beside.gpkg", shape)
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings(kind, "beside.gpkg"))  # type: ignore[arg-type]
    assert got.shapes(kind) == ()
    (words,) = [words for words in got.notices if "beside.gpkg" in words]
    assert "does not reach the ground of the trip" in words
    assert "15 km apart" in words


def test_a_layer_in_the_wrong_system_is_still_an_error(tmp_path: Path) -> None:
    write_heights(tmp_path)
    turned = shapely.box(CAR[1], CAR[0], CAR[1] + 0.01, CAR[0] + 0.01)
    write_shapes(tmp_path / "turned.gpkg", turned)
    with pytest.raises(InputError, match="latitude and longitude swapped"):
        read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("closed", "turned.gpkg"))


def test_a_canopy_that_lies_elsewhere_is_left_out_and_heights_that_do_are_refused(tmp_path: Path) -> None:
    write_heights(tmp_path)
    with rasterio.open(tmp_path / "dem.tif") as file:
        far = file.transform * rasterio.Affine.translation(5000, 0)
        profile = {**file.profile, "transform": far}
    with rasterio.open(tmp_path / "far.tif", "w", **profile) as file:
        file.write(np.full((1, profile["height"], profile["width"]), 12, dtype=np.float32))
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("canopy_height", "far.tif"))
    assert got.measures == {}
    assert any("does not reach" in words for words in got.notices)
    with pytest.raises(InputError, match="does not reach"):
        read(tmp_path, LayerSettings("elevation", "far.tif"))


def test_closed_ground_may_be_lines(tmp_path: Path) -> None:
    write_heights(tmp_path)
    fence = shapely.LineString([(CAR[0] - 0.001, CAR[1]), (CAR[0] + 0.001, CAR[1])])
    write_shapes(tmp_path / "fence.gpkg", fence, box_at(0.0))
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("closed", "fence.gpkg"))
    assert {shape.geom_type for shape in got.shapes("closed")} == {"LineString", "Polygon"}


def test_closed_ground_that_loses_a_shape_in_reading_refuses_and_names_the_file(tmp_path: Path) -> None:
    write_heights(tmp_path)
    dem, closed = LayerSettings("elevation", "dem.tif"), LayerSettings("closed", "closed.gpkg")
    write_shapes(tmp_path / "closed.gpkg", box_at(0.0), None)
    with pytest.raises(InputError, match=r"closed\.gpkg does not come through whole \(1 feature without a shape"):
        read(tmp_path, dem, closed)
    write_shapes(tmp_path / "closed.gpkg", box_at(0.0), shapely.Point(CAR))
    with pytest.raises(InputError, match=r"closed\.gpkg does not come through whole"):
        read(tmp_path, dem, closed)
    write_shapes(tmp_path / "closed.gpkg", shapely.box(-180, -90, 180, 90))
    with pytest.raises(InputError, match=r"closed\.gpkg holds a shape that reaches round the earth"):
        read(tmp_path, dem, closed)


def test_closed_ground_is_chosen_by_its_fields(tmp_path: Path) -> None:
    write_heights(tmp_path)
    dem = LayerSettings("elevation", "dem.tif")
    shapes = [box_at(0.001 * k, 0.0005) for k in range(3)]
    write_shapes(tmp_path / "parcels.gpkg", *shapes, owner=["Private", "County", None], access=["no", "yes", "no"])

    def closed(where: str) -> Inputs:
        return read(tmp_path, dem, LayerSettings("closed", "parcels.gpkg", where=where))

    got = closed("owner = 'private' or access = 'no'")
    assert len(got.features["closed"]) == 2
    assert any(story.endswith("where owner = 'private' or access = 'no'") for story in got.stories)
    assert len(closed("not owner in ('county')").features["closed"]) == 2  # nobody's name is not the county's
    nothing = closed("owner = 'privat'")
    assert nothing.features["closed"] == ()
    words = "no feature here is kept by where owner = 'privat'; owner holds 'County', 'Private'"
    assert any(words in notice for notice in nothing.notices)
    with pytest.raises(InputError, match=r"layer closed: .*parcels\.gpkg has no field 'ovner'; did you mean 'owner'\?"):
        closed("ovner = 'x'")
    with pytest.raises(SettingsError, match=r"layer closed: where: position 9 of"):
        closed("owner = x")


def test_a_longitude_without_its_minus_sign_is_known_by_the_heights(tmp_path: Path) -> None:
    write_heights(tmp_path)
    settings = settings_in(tmp_path)
    words = r"does the car stand at 46\.9\d+, -91\.6\d+\? .* the minus sign of the longitude is missing"
    with pytest.raises(InputError, match=words):
        read_inputs(settings, choose_grid(settings, (-CAR[0], CAR[1])))


def test_a_raster_takes_no_filter(tmp_path: Path) -> None:
    write_heights(tmp_path)
    with pytest.raises(SettingsError, match=r"layer cover: where chooses among features, and dem\.tif is a raster"):
        read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("cover", "dem.tif", "nlcd", where="a = 1"))


def test_a_cut_shapefile_of_closed_ground_refuses(tmp_path: Path) -> None:
    write_heights(tmp_path)
    write_shapes(tmp_path / "closed.shp", *(box_at(0.001 * k) for k in range(3)), kind="Polygon", n=[1, 2, 3])
    whole = (tmp_path / "closed.shp").read_bytes()
    (tmp_path / "closed.shp").write_bytes(whole[:-60])
    with pytest.raises(InputError, match=r"closed\.shp"):
        read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("closed", "closed.shp"))


def test_closed_ground_that_spans_a_continent_closes_the_trip_too(tmp_path: Path) -> None:
    write_heights(tmp_path)
    write_shapes(tmp_path / "closed.gpkg", shapely.box(-179.9, 40, -60, 60))
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("closed", "closed.gpkg"))
    assert shapely.union_all(got.shapes("closed")).area == pytest.approx(got.grid.n_cells * got.grid.cell_m**2)


def test_streams_may_be_areas_and_wide_ones_are_water(tmp_path: Path) -> None:
    write_heights(tmp_path)
    degree_m = 111_000.0
    brook = shapely.box(CAR[0] - 0.003, CAR[1], CAR[0] + 0.003, CAR[1] + 4 / degree_m)
    river = shapely.box(CAR[0] - 0.003, CAR[1] + 0.001, CAR[0] + 0.003, CAR[1] + 0.001 + 25 / degree_m)
    write_shapes(tmp_path / "streams.gpkg", brook, river)
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("streams", "streams.gpkg"))
    (water,) = got.features["water"]
    assert water.kind == "river"
    assert {one.geometry.geom_type for one in got.features["streams"]} == {"LineString"}
    assert {one.kind for one in got.features["streams"]} == {"creek"}  # 4 m wide
    assert sum(one.geometry.length for one in got.features["streams"]) > 400


def test_a_narrow_area_of_water_is_a_stream_too(tmp_path: Path) -> None:
    write_heights(tmp_path)
    brook = shapely.box(CAR[0] - 0.003, CAR[1], CAR[0] + 0.003, CAR[1] + 2.5 / 111_000.0)
    write_shapes(tmp_path / "water.gpkg", brook)
    got = read(tmp_path, LayerSettings("elevation", "dem.tif"), LayerSettings("water", "water.gpkg"))
    assert got.features["water"] == ()
    assert {one.kind for one in got.features["streams"]} == {"brook"}


def test_a_river_narrower_than_a_coarse_cell_is_still_a_barrier(tmp_path: Path) -> None:
    write_heights(tmp_path)
    river = shapely.box(CAR[0] - 0.01, CAR[1] + 0.0001, CAR[0] + 0.01, CAR[1] + 0.0001 + 14 / 111_000.0)
    write_shapes(tmp_path / "streams.gpkg", river)
    layers = LayerSettings("elevation", "dem.tif"), LayerSettings("streams", "streams.gpkg")
    settings = settings_in(tmp_path, *layers)
    coarse = replace(settings, ground=GroundSettings(reach_m=300.0, cell_m=40.0))
    water = read_inputs(coarse, choose_grid(coarse, CAR)).cells["water"]
    assert water.any(axis=0).all()  # no column of cells leads through
