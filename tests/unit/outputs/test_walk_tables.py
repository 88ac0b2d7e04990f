import json
from dataclasses import replace

import geopandas as gpd
import numpy as np
import pytest
from shapely import LineString, Point, Polygon
from shapely.geometry import shape

from hushwalk.grid.polyline import rings_area
from hushwalk.morning.report import Report
from hushwalk.outputs.walk.geopackage import geopackage_bytes
from hushwalk.outputs.walk.kml import kml_text
from hushwalk.outputs.walk.walk_data import geojson_text, summary, summary_text


def test_the_summary_names_its_schema_and_holds_no_guess_of_a_log(report: Report) -> None:
    said = json.loads(summary_text(report))
    assert said["schema"] == "hushwalk summary 2"
    assert next(stop["arrive"] for stop in said["stops"]) == "2027-04-24T05:02:15-05:00"
    assert said["length_m"] == pytest.approx(report.length_m, abs=0.1)
    assert {"suitability", "density", "fix"}.isdisjoint(summary_text(report).replace('"', " ").split())


def test_what_is_endless_or_unknown_is_null(report: Report) -> None:
    unproven = replace(report, proof=replace(report.proof, bound=float("inf")))
    assert summary(unproven)["proof"]["bound"] is None


def test_a_ring_inside_another_is_a_hole() -> None:
    outer, inner = np.asarray(Point(0, 0).buffer(10).exterior.coords), np.asarray(Point(0, 0).buffer(4).exterior.coords)
    assert rings_area((inner, outer)).area == pytest.approx(Polygon(outer).area - Polygon(inner).area)


def test_geojson_reads_back_onto_the_grid(report: Report, tmp_path) -> None:
    path = tmp_path / "walk.geojson"
    path.write_text(geojson_text(report), encoding="utf-8")
    table = gpd.read_file(path)
    assert table.crs.to_epsg() == 4326
    metres = table.to_crs(report.grid.crs)
    legs = metres[metres.kind == "leg"].geometry.to_list()
    for leg, found in zip(report.legs, legs, strict=True):
        assert found.hausdorff_distance(LineString(leg.line_m)) < 0.05


def test_geopackage_keeps_metres_and_fields(report: Report, tmp_path) -> None:
    path = tmp_path / "walk.gpkg"
    path.write_bytes(geopackage_bytes(report))
    first = path.read_bytes()
    stops = gpd.read_file(path, layer="stops")
    assert stops.crs.to_epsg() == report.grid.epsg
    assert [tuple(p.coords[0]) for p in stops.geometry] == [stop.place.xy_m for stop in report.stops]
    assert stops.usng.to_list() == [stop.place.usng for stop in report.stops]
    assert set(gpd.list_layers(path).name) == {"stops", "legs", "earshot", "ways_back"}
    path.write_bytes(geopackage_bytes(report))
    assert path.read_bytes() == first


def test_the_styles_of_a_geopackage_are_read_by_the_library_that_defines_them(report: Report, tmp_path) -> None:
    """GDAL's KML writer draws by the style of each feature: colours go alpha, blue, green, red (OGC KML 2.2)."""
    path = tmp_path / "walk.gpkg"
    path.write_bytes(geopackage_bytes(report))
    read = {}
    for layer in ("stops", "legs", "earshot", "ways_back"):
        table = gpd.read_file(path, layer=layer)[["OGR_STYLE", "geometry"]].to_crs(4326)
        table.to_file(tmp_path / f"{layer}.kml", driver="LIBKML", engine="pyogrio")
        read[layer] = (tmp_path / f"{layer}.kml").read_text(encoding="utf-8")
    assert "<color>ff1a1310</color>" in read["legs"]
    assert "<width>2" in read["legs"]
    assert "<color>ff1a1310</color>" in read["earshot"]
    assert "<color>00ffffff</color>" in read["earshot"]
    assert "<color>ff4f443f</color>" in read["ways_back"]
    assert "<LabelStyle><color>ff1a1310</color>" in "".join(read["stops"].split())
    quoted = gpd.read_file(path, layer="stops")["OGR_STYLE"][0]
    assert quoted.startswith('SYMBOL(id:"ogr-sym-3",c:#FFD84A,o:#10131A,s:9pt);LABEL(')


def test_kml_is_read_by_an_independent_library(naughty_report: Report, tmp_path) -> None:
    path = tmp_path / "walk.kml"
    path.write_text(kml_text(naughty_report), encoding="utf-8")
    table = gpd.read_file(path)
    places = dict(zip(table.Name, table.geometry, strict=True))
    assert {"CAR", "P01", "P05", "CAR to P01", "P03 straight back", "closed ground 1"} <= set(places)
    assert places["P01"].x == pytest.approx(naughty_report.stops[0].place.lon_deg, abs=1e-6)
    assert shape(places["closed ground 1"]).geom_type == "Polygon"


def test_the_summary_has_every_place_where_it_lies(report: Report) -> None:
    said = summary(report)
    assert (said["car"]["lon_deg"], said["car"]["lat_deg"]) == (report.car.lon_deg, report.car.lat_deg)
    places = [(stop["lon_deg"], stop["lat_deg"], stop["usng"]) for stop in said["stops"]]
    assert places == [(stop.place.lon_deg, stop.place.lat_deg, stop.place.usng) for stop in report.stops]


def test_the_lines_of_the_kml_begin_where_the_legs_begin(report: Report) -> None:
    first = kml_text(report).split("<LineString>")[1].split("<coordinates>")[1].split()[0]
    lon, lat = (float(word) for word in first.split(",")[:2])
    assert (lon, lat) == pytest.approx((report.car.lon_deg, report.car.lat_deg), abs=1e-4)


def test_the_summary_holds_facts_with_the_words_beside_them(report: Report) -> None:
    said = summary(report)
    assert said["leave_out"] == [{"stop": "P05", "males_lost": 0.4}, {"stop": "P02", "males_lost": 1.1}]
    assert said["delays"] == [{"kind": "slower", "amount": 0.2, "lost": 0.13, "leave_out": ["P05"]}]
    assert said["robustness_words"][-1] == "If time runs short, leave out, in this order: P05, P02."
    assert all(stop["wait_minutes"] == 0.0 for stop in said["stops"])
    bare = summary(replace(report, robustness=None, verdict=None))
    assert bare["leave_out"] == bare["delays"] == bare["robustness_words"] == []
    assert bare["verdict"] is None
