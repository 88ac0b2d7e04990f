"""Vector layers with one fault each: the right answer, or one clear message that names layer, file and mend."""

import json
import os
import subprocess
import sys
import zipfile
from typing import Any

import numpy as np
import pyproj
import pytest
import shapely

from hushwalk.errors import InputError, MissingFileError, SettingsError
from hushwalk.site.settings import ClosedSettings, LayerSettings

Country = Any


def streams(path: str = "streams.gpkg", **keys: Any) -> LayerSettings:
    return LayerSettings("streams", path, **keys)


def said(country: Country, *layers: LayerSettings, fault: type[Exception] = InputError) -> str:
    with pytest.raises(fault) as caught:
        country.read_beside_heights(*layers)
    words = str(caught.value)
    assert words.startswith(f"layer {layers[0].kind}")
    assert "\n" not in words
    return words


@pytest.mark.parametrize("name", ["s.gpkg", "s.geojson", "s.fgb", "s.shp", "s.shp.zip", "s.kml"])
def test_every_usual_format_gives_the_same_line(country: Country, name: str) -> None:
    line = country.line((100, 100), (400, 700), (900, 800))
    in_degrees = name.endswith(("geojson", "kml"))
    way = pyproj.Transformer.from_crs(country.grid.crs, "EPSG:4326", always_xy=True)
    drawn = shapely.transform(line, way.transform, interleaved=False) if in_degrees else line
    driver = {"driver": "ESRI Shapefile"} if name.endswith("zip") else {"driver": "KML"} if name.endswith("kml") else {}
    country.vector(
        name, [drawn], "LineString", crs="EPSG:4326" if in_degrees else "grid", fields={"Name": ["Elm Creek"]}, **driver
    )
    (got,) = country.read_beside_heights(streams(name)).features["streams"]
    assert got.geometry.hausdorff_distance(line) < 0.02  # GeoJSON and KML keep seven decimals, about a centimetre
    assert got.name == "Elm Creek"
    assert got.kind == "creek"


def test_features_are_clipped_to_the_ground(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((-5000, 500), (5000, 500)), country.line((5000, 0), (6000, 0))])
    (got,) = country.read_beside_heights(streams()).features["streams"]
    assert got.geometry.length == pytest.approx(country.grid.bounds[2] - country.grid.bounds[0])


def test_a_missing_file_and_a_missing_layer_are_told(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((0, 0), (500, 500))], layer="brooks 'n creeks")
    assert "streams.gpkg" in said(country, streams("stream.gpkg"), fault=MissingFileError)
    assert "brooks 'n creeks" in said(country, streams(layer="rivers"))
    assert len(country.read_beside_heights(streams(layer="brooks 'n creeks")).features["streams"]) == 1


def test_several_layers_need_a_choice(country: Country) -> None:
    country.vector("all.gpkg", [country.line((0, 0), (500, 500))], layer="streams")
    country.vector("all.gpkg", [country.line((0, 0), (300, 500))], layer="trails")
    words = said(country, streams("all.gpkg"))
    assert "streams, trails" in words
    assert 'layer = "NAME"' in words


@pytest.mark.parametrize("content", [b"", b"<html></html>", b"{}", b"SQLite format 3\x00 and then nothing"])
def test_what_is_no_vector_file_is_told(country: Country, content: bytes) -> None:
    (country.folder / "streams.gpkg").write_bytes(content)
    assert "streams.gpkg" in said(country, streams())


def test_a_raster_is_no_vector_file(country: Country) -> None:
    country.raster("dem.tif", country.heights())
    assert "not a vector file" in said(country, streams("dem.tif"))


def test_a_shapefile_without_system_is_told_which_would_fit(country: Country) -> None:
    path = country.vector("s.shp", [country.line((0, 0), (500, 500))], "LineString")
    path.with_suffix(".prj").unlink()
    words = said(country, streams("s.shp"))
    assert "no reference system" in words
    assert "EPSG:32615" in words
    assert len(country.read_beside_heights(streams("s.shp", crs="EPSG:32615")).features["streams"]) == 1


def test_an_empty_layer_and_one_elsewhere_are_told(country: Country) -> None:
    country.vector("streams.gpkg", [], "LineString")
    assert "no features" in said(country, streams())
    country.vector("far.gpkg", [country.line((90_000, 0), (91_000, 0))])
    got = country.read_beside_heights(streams("far.gpkg"))
    assert got.shapes("streams") == ()
    assert any("km apart" in words for words in got.notices)


def test_a_layer_that_only_goes_round_the_ground_gives_nothing_and_says_so(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((-900, 0), (-900, 900)), country.line((3000, 0), (3000, 900))])
    got = country.read_beside_heights(streams())
    assert got.features["streams"] == ()
    assert any("nothing of it lies on the ground" in n for n in got.notices)


def test_metres_in_geojson_are_told(country: Country) -> None:
    """GeoJSON is in degrees by its standard (RFC 7946, section 4); some programs write metres all the same."""
    shape = shapely.geometry.mapping(country.line((0, 0), (500, 500)))
    (country.folder / "s.geojson").write_text(
        json.dumps(
            {"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {}, "geometry": shape}]}
        )
    )
    words = said(country, streams("s.geojson"))
    assert "said to be in degrees" in words
    assert 'crs = "EPSG:26915"' in words
    assert len(country.read_beside_heights(streams("s.geojson", crs="EPSG:26915")).features["streams"]) == 1


def test_swapped_latitude_and_longitude_are_told(country: Country) -> None:
    country.vector("s.fgb", [shapely.LineString([(46.939, -91.69), (46.941, -91.69)])], "LineString", crs="EPSG:4326")
    assert "latitude and longitude swapped" in said(country, streams("s.fgb"))


def test_degrees_called_metres_are_told(country: Country) -> None:
    country.vector("s.fgb", [shapely.LineString([(-91.69, 46.939), (-91.69, 46.941)])], "LineString")
    words = said(country, streams("s.fgb"))
    assert "its numbers are degrees" in words
    assert 'crs = "EPSG:4326"' in words


def test_the_old_datum_is_read_with_a_warning_and_lands_where_its_shift_says(country: Country) -> None:
    # NAD27 to NAD83 in this country moves UTM northings by about +215 m (from memory: +200..+220 m in the Lake States)
    country.vector("streams.gpkg", [country.line((200, 200), (800, 200))], crs="EPSG:26715")
    got = country.read_beside_heights(streams())
    (line,) = got.shapes("streams")
    assert 195 < line.bounds[1] - country.at(0, 200)[1] < 225
    assert any("its datum (EPSG:26715" in n for n in got.notices)


def test_null_and_empty_shapes_are_left_out_and_counted(country: Country) -> None:
    shapes = [country.line((0, 0), (500, 500)), None, shapely.LineString(), None]
    country.vector("streams.geojson", shapes)
    got = country.read_beside_heights(streams("streams.geojson"))
    assert len(got.features["streams"]) == 1
    assert any("3 features without a shape were left out" in n for n in got.notices)


def test_a_layer_of_nothing_but_null_shapes_is_told(country: Country) -> None:
    country.vector("streams.gpkg", [None, None], "LineString")
    assert "streams.gpkg" in said(country, streams())


def test_invalid_polygons_are_repaired_and_counted(country: Country) -> None:
    bow = country.area((100, 100), (300, 300), (300, 100), (100, 300))
    country.vector("water.gpkg", [bow, country.area((600, 600), (700, 600), (700, 700))])
    got = country.read_beside_heights(LayerSettings("water", "water.gpkg"))
    assert sum(s.area for s in got.shapes("water")) == pytest.approx(2 * 200 * 100 / 2 + 100 * 100 / 2)
    assert all(s.is_valid and s.geom_type == "Polygon" for s in got.shapes("water"))
    assert any("1 feature with an invalid shape" in n for n in got.notices)


def test_mixed_shapes_are_split_and_the_wrong_kind_counted(country: Country) -> None:
    line = country.line((0, 0), (500, 500))
    mixed = shapely.GeometryCollection([country.area((0, 0), (50, 0), (50, 50)), shapely.MultiLineString([line])])
    country.vector("streams.gpkg", [line, mixed, shapely.Point(country.at(100, 100))])
    got = country.read_beside_heights(streams())
    assert [s.geom_type for s in got.shapes("streams")] == ["LineString"]  # twins of one line are one
    assert any("1 feature that are no lines" in n for n in got.notices)


def test_heights_and_measures_of_shapes_are_dropped(country: Country) -> None:
    deep = shapely.force_3d(country.line((0, 0), (500, 500)), 412.0)
    country.vector("streams.gpkg", [deep], "LineString Z")
    got = country.read_beside_heights(streams())
    assert not got.shapes("streams")[0].has_z
    assert any("heights or measures" in n for n in got.notices)


@pytest.mark.parametrize("kind", ["M", "ZM"])
def test_measures_along_a_line_are_dropped(country: Country, kind: str) -> None:
    (x, y), (u, v) = country.at(0, 0), country.at(500, 500)
    words = f"LINESTRING M ({x} {y} 1, {u} {v} 2)" if kind == "M" else f"LINESTRING ZM ({x} {y} 400 1, {u} {v} 410 2)"
    csv = f'WKT,name\n"{words}",Elm Creek\n'
    (country.folder / "s.csv").write_text(csv)
    got = country.read_beside_heights(streams("s.csv", crs="EPSG:32615"))
    (shape,) = got.shapes("streams")
    assert shapely.get_coordinate_dimension(shape) == 2
    assert shape.length == pytest.approx(np.hypot(500, 500))


@pytest.mark.parametrize("name", ['a "quoted" layer', "x'; DROP TABLE x; --", "naïve ручей", "two\twords"])
def test_a_layer_is_found_whatever_its_name(country: Country, name: str) -> None:
    country.vector("all.gpkg", [country.line((0, 0), (500, 500))], layer="streams")
    country.vector("all.gpkg", [country.line((0, 0), (300, 300))], layer=name)
    (got,) = country.read_beside_heights(streams("all.gpkg", layer=name)).shapes("streams")
    assert got.length == pytest.approx(np.hypot(300, 300))
    assert repr(name) in said(country, streams("all.gpkg", layer=name + "x")) or "streams" in said(
        country, streams("all.gpkg", layer=name + "x")
    )


def test_a_field_that_is_not_there_is_told(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((0, 0), (500, 500))], fields={"order": [3]})
    assert "no field 'size'; it has order" in said(country, streams(field="size"))


def test_streams_have_the_kind_that_their_layer_tells(country: Country) -> None:
    lines = [country.line((0, 100 * k), (900, 100 * k)) for k in range(1, 8)]
    country.vector(
        "streams.gpkg",
        lines,
        fields={
            "waterway": ["river", "stream", "stream", "ditch", "", "", ""],
            "strahler": [0, 0, 0, 0, 1, 3, 6],
            "name": ["", "", "Alder Creek", "", "", "", ""],
        },
    )
    kinds = [f.kind for f in country.read_beside_heights(streams()).features["streams"]]
    assert kinds == ["river", "brook", "creek", "brook", "brook", "creek", "river"]


def test_marshes_among_lakes_count_as_wetlands_and_no_twin_is_kept(country: Country) -> None:
    areas = [country.area((x, 100), (x + 80, 100), (x + 80, 200)) for x in (100, 300, 500)]
    country.vector("nhd.gpkg", areas, fields={"FTYPE": ["LakePond", "SwampMarsh", "390"]})
    got = country.read_beside_heights(LayerSettings("water", "nhd.gpkg"), LayerSettings("wetlands", "nhd.gpkg"))
    assert len(got.features["water"]) == 2
    assert len(got.features["wetlands"]) == 1
    assert any("1 of 3 areas are marked as wetlands" in n for n in got.notices)


def test_streams_do_not_run_through_lakes(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((0, 500), (1000, 500))])
    country.vector("water.gpkg", [country.area((300, 300), (700, 300), (700, 700), (300, 700))])
    got = country.read_beside_heights(streams(), LayerSettings("water", "water.gpkg"))
    assert sum(s.length for s in got.shapes("streams")) == pytest.approx(600.0)
    assert any("0.4 km of stream lines" in n for n in got.notices)


def test_cover_may_be_polygons(country: Country) -> None:
    halves = [
        country.area((-50, -50), (550, -50), (550, 1200), (-50, 1200)),
        country.area((550, -50), (1200, -50), (1200, 1200), (550, 1200)),
    ]
    country.vector("stands.gpkg", halves, fields={"type": ["A21", "RP"], "code": [41, 42]})
    spec = {"field": "type", "classes": {"A21": "aspen", "RP": "pine"}}
    got = country.read_beside_heights(LayerSettings("cover", "stands.gpkg", **spec))
    assert got.cover is not None
    assert set(np.unique(got.cover.values)) == {14.0, 21.0}
    got = country.read_beside_heights(LayerSettings("cover", "stands.gpkg", field="code", legend="nlcd"))
    assert got.cover is not None
    assert set(np.unique(got.cover.values)) == {10.0, 11.0}
    assert "'RP'" in said(country, LayerSettings("cover", "stands.gpkg", field="type", classes={"A21": "aspen"}))
    assert 'field = "..."' in said(country, LayerSettings("cover", "stands.gpkg", legend="nlcd"))


def test_water_and_wetlands_are_drawn_from_the_cover_only_where_none_are_given(country: Country) -> None:
    classes = country.classes()
    classes[40:50, 40:50] = 90
    country.raster("cover.tif", classes)
    cover = LayerSettings("cover", "cover.tif", legend="nlcd")
    got = country.read_beside_heights(cover)
    assert sum(s.area for s in got.shapes("water")) == 100 * 400
    assert sum(s.area for s in got.shapes("wetlands")) == 100 * 400
    assert sum("taken from the land cover" in n for n in got.notices) == 2
    country.vector("water.gpkg", [country.area((600, 600), (700, 600), (700, 700))])
    got = country.read_beside_heights(cover, LayerSettings("water", "water.gpkg"))
    assert sum(s.area for s in got.shapes("water")) == pytest.approx(5000)


def corners(country: Country, *points: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    way = pyproj.Transformer.from_crs(country.grid.crs, "EPSG:4326", always_xy=True)
    return tuple(way.transform(*country.at(*point)) for point in points)


def test_closed_ground_drawn_by_hand(country: Country) -> None:
    ring = corners(country, (100, 100), (300, 100), (300, 300), (100, 300))
    got = country.read_beside_heights(closed=(ClosedSettings("Private parcel", ring),))
    (parcel,) = got.features["closed"]
    assert parcel.name == "Private parcel"
    assert parcel.geometry.area == pytest.approx(200 * 200, rel=1e-3)
    swapped = tuple((y, x) for x, y in ring)
    with pytest.raises(SettingsError, match="longitude first"):
        country.read_beside_heights(closed=(ClosedSettings("Parcel", swapped),))
    with pytest.raises(SettingsError, match="enclose no ground"):
        country.read_beside_heights(closed=(ClosedSettings("Parcel", (ring[0], ring[1], ring[0])),))
    crossed = (ring[0], ring[2], ring[1], ring[3])
    with pytest.raises(SettingsError, match="do not go round in order"):
        country.read_beside_heights(closed=(ClosedSettings("Parcel", crossed),))
    far = country.read_beside_heights(closed=(ClosedSettings("Parcel", ((-80, 40), (-80, 41), (-81, 40))),))
    assert any("lies outside the ground" in n for n in far.notices)


def test_a_trip_without_heights_is_told(country: Country) -> None:
    country.vector("streams.gpkg", [country.line((0, 0), (500, 500))])
    with pytest.raises(SettingsError, match="elevation"):
        country.read(streams())


def test_a_shapefile_that_breaks_off_is_refused_whatever_it_shows(country: Country) -> None:
    path = country.vector("s.shp", [country.line((0, k), (500, 500)) for k in range(9)], "LineString")
    path.write_bytes(path.read_bytes()[:-60])
    assert "breaks off: 60 of" in said(country, streams("s.shp"))


def test_an_archive_that_swells_is_refused_before_it_is_unpacked(country: Country) -> None:
    with (
        zipfile.ZipFile(country.folder / "x.zip", "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("x.geojson", "w") as file,
    ):
        for _ in range(105):
            file.write(bytes(10**7))
    assert "x.geojson unpacks to 1.1 GB" in said(country, streams("x.zip"))


def test_what_is_no_plain_file_is_refused_unread(country: Country) -> None:
    os.mkfifo(country.folder / "x.gpkg")
    assert "pipe or a device" in said(country, streams("x.gpkg"))
    assert "pipe or a device" in said(country, streams("/dev/zero"))
    assert "cannot be the name of a file" in said(country, streams("a" * 5000))
    assert "cannot be the name of a file" in said(country, streams("a\0b"))


LOCK = """
import sqlite3, sys
base = sqlite3.connect(sys.argv[1], isolation_level=None)
base.execute("begin exclusive")
print("locked", flush=True)
sys.stdin.read()
"""


def test_a_file_that_another_program_has_locked_is_told_as_such(country: Country) -> None:
    path = country.vector("streams.gpkg", [country.line((0, 0), (500, 500))])
    other = subprocess.Popen([sys.executable, "-c", LOCK, path], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    with other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"locked\n"
        words = said(country, streams())
        other.kill()
    assert "locked" in words
    assert "download" not in words


@pytest.mark.parametrize(
    "ring",
    [
        [(-180, -90), (180, -90), (180, 90), (-180, 90)],
        [(-179.9, 40), (-60, 40), (-60, 60), (-179.9, 60)],
        [(-120, 30), (-60, 30), (-60, 60), (-120, 60)],
    ],
)
def test_closed_ground_that_reaches_far_round_the_earth_closes_the_trip_or_is_refused(
    country: Country, ring: list[tuple[float, float]]
) -> None:
    country.vector("c.fgb", [shapely.Polygon(ring)], "Polygon", crs="EPSG:4326")
    try:
        got = country.read_beside_heights(LayerSettings("closed", "c.fgb"))
    except InputError as fault:
        assert "c.fgb" in str(fault)  # noqa: PT017 - either answer is right
    else:
        west, south, east, north = country.grid.bounds
        assert sum(s.area for s in got.shapes("closed")) == pytest.approx((east - west) * (north - south))


def test_closed_ground_beside_the_reach_is_a_remark(country: Country) -> None:
    country.vector("c.gpkg", [country.area((1500, 0), (1700, 0), (1700, 300))])
    got = country.read_beside_heights(LayerSettings("closed", "c.gpkg"))
    assert got.shapes("closed") == ()
    assert any("c.gpkg" in words for words in got.notices)
