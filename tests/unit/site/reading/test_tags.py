"""An extract of OpenStreetMap, and layers made of one, are understood by kind of layer."""

import json
from pathlib import Path
from typing import Any

import geopandas as gpd
import shapely
from tests.unit.site.test_inputs import CAR, settings_in

from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.reading.cover import kind_by_key
from hushwalk.site.reading.features import Features, read_features
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import open_layers
from hushwalk.site.settings import LayerKind, LayerSettings

LINES = [
    {"waterway": "stream", "name": "Alder Brook", "intermittent": "yes"},
    {"waterway": "stream", "tunnel": "culvert"},
    {"waterway": "river", "name": "Long River"},
    {"waterway": "dam"},
    {"highway": "path"},
    {"highway": "track", "access": "private"},
    {"highway": "residential"},
    {"railway": "rail"},
    {"power": "line"},
]
AREAS = [
    {"landuse": "forest", "leaf_type": "needleleaved"},
    {"natural": "wood", "leaf_type": "broadleaved"},
    {"natural": "wood"},
    {"natural": "water"},
    {"natural": "wetland", "wetland": "bog"},
    {"building": "yes"},
    {"landuse": "military"},
    {"leisure": "garden", "access": "private"},
    {"landuse": "meadow", "access": "private", "foot": "permissive"},
    {"landuse": "meadow", "access:conditional": "no @ (Mar 15-Sep 15)"},
    {"boundary": "administrative", "admin_level": "8"},
]


def extract(folder: Path) -> Path:
    """Write lines side by side, and squares north of them, as an extract; the last area encloses all."""
    nodes, ways = [], []

    def node(x: float, y: float) -> int:
        nodes.append(f'<node id="{len(nodes) + 1}" lat="{CAR[1] + y:.7f}" lon="{CAR[0] + x:.7f}" version="1"/>')
        return len(nodes)

    def way(refs: list[int], tags: dict[str, str]) -> None:
        inner = "".join(f'<nd ref="{ref}"/>' for ref in refs) + "".join(
            f'<tag k="{key}" v="{value}"/>' for key, value in tags.items()
        )
        ways.append(f'<way id="{len(ways) + 1}" version="1">{inner}</way>')

    for k, tags in enumerate(LINES):
        way([node(0.0003 * k - 0.002, -0.002), node(0.0003 * k - 0.002, -0.001)], tags)
    for k, tags in enumerate(AREAS):
        x, size = 0.0004 * k - 0.002, 0.0003
        refs = [node(x, 0.0), node(x + size, 0.0), node(x + size, size), node(x, size)]
        way([*refs, refs[0]], tags)
    text = '<?xml version="1.0"?><osm version="0.6">' + "".join(nodes + ways) + "</osm>"
    (folder / "all.osm").write_text(text, encoding="utf-8")
    return folder / "all.osm"


def read(folder: Path, kind: LayerKind, path: str = "all.osm", **more: Any) -> tuple[Features, str]:
    where = Georeference(choose_grid(settings_in(folder), CAR), folder, network=False)
    found, notices, _ = read_features([(f"layer {kind}", LayerSettings(kind, path, **more))], where)
    return found, "\n".join(notices)


def test_an_extract_gives_each_kind_its_own_things(tmp_path: Path) -> None:
    extract(tmp_path)
    streams, said = read(tmp_path, "streams")
    assert sorted((f.name, f.kind) for f in streams["streams"]) == [("Alder Brook", "brook"), ("Long River", "river")]
    assert "1 in a tunnel or pipe were left out" in said
    assert "1 of 2 run for a part of the year" in said
    trails, _ = read(tmp_path, "trails")
    assert [f.kind for f in trails["trails"]] == ["path", "track"]
    assert [f.traits.private for f in trails["trails"]] == [False, True]
    assert [f.kind for f in read(tmp_path, "roads")[0]["roads"]] == ["residential"]
    for kind in ("water", "wetlands", "buildings"):
        assert len(read(tmp_path, kind)[0][kind]) == 1
    assert len(read(tmp_path, "closed")[0]["closed"]) == 3  # military, a private garden, and closed in its season


def test_what_an_extract_lacks_is_said(tmp_path: Path) -> None:
    path = extract(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace("wetland", "wood"), encoding="utf-8")
    found, said = read(tmp_path, "wetlands")
    assert found["wetlands"] == ()
    assert "nothing on the ground of the trip has the tags of wetlands" in said


def test_cover_of_an_extract_tells_leaf_types_and_a_small_area_lies_above_a_large_one(tmp_path: Path) -> None:
    extract(tmp_path)
    settings = settings_in(tmp_path, LayerSettings("cover", "all.osm"))
    where = Georeference(choose_grid(settings, CAR), tmp_path, network=False)
    cover = open_layers(settings.layers, where, 2027).read((0, 0, *where.grid.shape))["cover"]
    kinds = ("evergreen_forest", "deciduous_forest", "tree_cover", "open_water", "peatland", "developed", "pasture")
    assert all((cover == kind_by_key(kind).code).any() for kind in kinds)
    assert (cover == 0).mean() > 0.8


def test_a_file_made_of_an_extract_gives_up_what_is_not_of_its_kind(tmp_path: Path) -> None:
    rows = []
    empty = dict.fromkeys(("name", "highway", "waterway", "railway"))
    for k, tags in enumerate(LINES):
        x = CAR[0] + 0.0002 * k - 0.001
        line = shapely.geometry.mapping(shapely.LineString([(x, CAR[1]), (x, CAR[1] + 0.001)]))
        rows.append({"type": "Feature", "properties": {"@id": f"way/{k}", **empty, **tags}, "geometry": line})
    (tmp_path / "mixed.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": rows}), "utf-8")
    streams, said = read(tmp_path, "streams", "mixed.geojson")
    assert {f.name for f in streams["streams"]} == {
        "Alder Brook",
        "Long River",
        "",
    }  # of a dam the maker may mean a stream
    assert "5 of 9 features are no streams by their tags" in said
    trails, said = read(tmp_path, "trails", "mixed.geojson")
    assert [f.kind for f in trails["trails"]] == ["path", "track", "residential"]  # their maker put them together
    assert "waterway=stream 2 times" in said
    chosen, said = read(tmp_path, "trails", "mixed.geojson", where="railway = 'rail' or highway = 'path'")
    assert len(chosen["trails"]) == 2
    assert "1 of 2 features are no trails by their tags (railway=rail), but kept since `where` chose them" in said


def test_lines_of_an_agency_that_say_another_kind_are_named(tmp_path: Path) -> None:
    lines = [shapely.LineString([(CAR[0] + d, CAR[1]), (CAR[0] + d, CAR[1] + 0.001)]) for d in (0.0, 0.0005)]
    for name, field, values in (("roads", "CLASS", ["MINOR", "STATE HWY"]), ("flow", "FCODE", ["46006", "46003"])):
        table = {"geometry": lines, field: values}
        gpd.GeoDataFrame(table, crs="EPSG:4326").to_file(tmp_path / f"{name}.gpkg")
    assert "2 of 2 features say that they are roads or trails" in read(tmp_path, "streams", "roads.gpkg")[1]
    assert "2 of 2 features say that they are streams" in read(tmp_path, "trails", "flow.gpkg")[1]
    assert "say that they are" not in read(tmp_path, "streams", "flow.gpkg")[1]


def test_closed_ground_is_chosen_by_owner(tmp_path: Path) -> None:
    squares = [shapely.box(CAR[0] + d, CAR[1], CAR[0] + d + 0.0004, CAR[1] + 0.0004) for d in (0.0, 0.0005)]
    gpd.GeoDataFrame({"geometry": squares, "Owner": ["Private", "City"]}, crs="EPSG:4326").to_file(tmp_path / "p.gpkg")
    assert len(read(tmp_path, "closed", "p.gpkg", where="owner = 'Private'")[0]["closed"]) == 1
